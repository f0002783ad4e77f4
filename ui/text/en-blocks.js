// English for blocks by photo.
import { n1, ordinal, turns } from './english.js';

const short = (inches) => Math.round(Math.abs(inches) * 32);
const thirtySeconds = (inches) => {
  let [up, down] = [short(inches), 32];
  while (up && up % 2 === 0 && down > 1) { up /= 2; down /= 2; }
  return `${up}/${down} in`;
};

export default {
  'blocks.take': 'Photograph blocks',
  'blocks.take.says': 'Lay finished blocks beside the measuring card, right side up. Each is found, crossed off once, and remembered patch by patch.',
  'blocks.where': 'Where do these go?',
  'blocks.where.says': 'Photograph any blocks that were photographed before: the page says where each goes and how to turn it.',
  'blocks.sending': 'Sending the photo',
  'blocks.looking': 'Looking at the photo',
  'blocks.stop': 'Stop',
  'blocks.made': ({ n }) => `${n1(n, 'block', 'blocks')} crossed off`,
  'blocks.none': 'No new block was crossed off.',
  'blocks.again': ({ n }) => `${n1(n, 'block was', 'blocks were')} there already and ${n === 1 ? 'is' : 'are'} not counted twice.`,
  'blocks.one': ({ kind, row, column }) => `${kind}, row ${row}, ${ordinal(column)}`,
  'blocks.tapped': 'Crossed off before; its patches are known now.',
  'blocks.size.fits': 'The size is right.',
  'blocks.size.trim': ({ n }) => `Up to ${n}/16 in large: trim it.`,
  'blocks.size.ease': ({ n }) => `Up to ${n}/16 in small: ease it in, or sew its seams again.`,
  'blocks.ask': ({ n }) => `${n1(n, 'patch is', 'patches are')} not sure. Tap what it is:`,
  'blocks.patch': ({ row, column }) => `Patch in row ${row}, ${ordinal(column)}`,
  'blocks.this': 'This one: {name}',
  'blocks.new': 'A new fabric',
  'blocks.mind': 'Never mind',
  'blocks.settled': 'Noted.',
  'blocks.not': 'Not counted',
  'blocks.at': ({ n }) => `Block ${n} of the photo`,
  'blocks.sizes': 'How the sizes come out',
  'blocks.sizes.says': ({ off, row, seam }) => [
    short(off) === 0 ? 'The blocks are as large as they should be.' : `Your blocks are ${thirtySeconds(off)} ${off < 0 ? 'small' : 'large'} on average.`,
    short(row) === 0 ? '' : `A row of the quilt ends ${thirtySeconds(row)} ${row < 0 ? 'short' : 'long'}.`,
    `They were sewn with seams of ${seam}.`,
  ].filter(Boolean).join(' '),
  'blocks.goes': ({ row, column, turn }) => `Row ${row}, ${ordinal(column)}${turn ? `, ${turns[turn]}` : ', as it lies'}`,
  'blocks.loose': 'Not placed yet: arrange first.',
  'blocks.unknown': ({ n }) => `${n1(n, 'block was', 'blocks were')} not known again. Photograph them to cross them off first.`,
  'blocks.picture': ({ place }) => `The block as photographed, ${place}`,
  'blocks.close': 'Back to the chart',
};
