// What this device opens to: said at pairing and in Settings, kept on the device.
import { keptCell } from './cell.js';
import { get } from './book.js';
import { to } from './route.js';

/** "photo", "next" (the block to sew) or "last" (where the address says). */
export const opens = keptCell('opens', 'last');

/** Goes there when the page was opened by its bare address. */
export async function open() {
  if (location.hash.length > 1 || opens.value !== 'next') return; // photos are the first place anyway
  const { quilts } = await get('/api/quilts');
  const one = quilts.find(({ state }) => state === 'under way');
  if (one && location.hash.length <= 1) location.replace(to('quilts', one.quilt, 'next'));
}
