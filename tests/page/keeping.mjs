// Nothing is lost: a photo that is too heavy is made smaller, work half done outlives going back
// and reloading, changes wait while the network is away, and two devices at one outline merge.
// On the real program; prints TAP.
//
//   node tests/page/keeping.mjs MOTLEY
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { accessible, expect, finish, fits, laptop, launch, noSlip, openPage, phone, picture, reachable, same, still, test } from './browser.mjs';
import { start } from './program.mjs';

const { address, book, stop } = await start(process.argv[2]);
const base = `${address}/`;
const browser = await launch();
const folder = mkdtempSync(join(tmpdir(), 'motley-keeping-'));
const ask = async (path, body, method = 'POST') => (await fetch(`${base}${path}`, body === undefined ? {} : {
  method, headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body),
})).json();
const press = async (page, words) => {
  await noSlip(page);
  await page.getByRole('button', { name: words, exact: true }).first().click();
};

// ---- a photo of 60 MB that a phone held upright took ----------------------------------------

/** EXIF by TIFF 6.0 and EXIF 2.3: little-endian; turned by a quarter, a maker, a lens. */
function exif() {
  const tiff = Buffer.alloc(110);
  const row = (at, tag, type, count, value) => {
    tiff.writeUInt16LE(tag, at);
    tiff.writeUInt16LE(type, at + 2);
    tiff.writeUInt32LE(count, at + 4);
    tiff.writeUInt32LE(value, at + 8);
  };
  tiff.write('II*\0\x08\0\0\0', 'latin1');
  tiff.writeUInt16LE(4, 8);
  row(10, 0x010f, 2, 6, 80); // Make
  row(22, 0x0110, 2, 9, 90); // Model
  row(34, 0x0112, 3, 1, 6); // Orientation: the right-hand side is the top
  row(46, 0x8769, 4, 1, 62);
  tiff.writeUInt16LE(1, 62);
  row(64, 0xa405, 3, 1, 27); // FocalLengthIn35mmFilm
  tiff.write('Maker\0', 80, 'latin1');
  tiff.write('Invented\0', 90, 'latin1');
  const head = Buffer.from([0xff, 0xe1, 0, 0, ...Buffer.from('Exif\0\0', 'latin1')]);
  head.writeUInt16BE(8 + tiff.length, 2);
  return Buffer.concat([head, tiff]);
}

const small = readFileSync(new URL('../photos/scraps-1.jpg', import.meta.url));
const comment = Buffer.concat([Buffer.from([0xff, 0xfe, 0xff, 0xff]), Buffer.alloc(0xfffd)]);
const heavy = join(folder, 'heavy.jpg');
writeFileSync(heavy, Buffer.concat([small.subarray(0, 2), exif(), ...Array(915).fill(comment), small.subarray(2)]));

let id;
let scraps;

await test('a_photo_of_60_MB_is_made_smaller_in_the_browser_and_keeps_its_lens', async () => {
  const page = await openPage(browser, base, phone);
  page.setDefaultTimeout(25000);
  await page.place('scraps');
  await page.locator('input[type=file]').first().setInputFiles(heavy);
  await page.waitForFunction(() => /^#\/scraps\/\d/.test(location.hash));
  id = new URL(page.url()).hash.split('/')[2];
  const document = await ask(`api/photos/${id}`);
  same([document.photo.width_px, document.photo.height_px], [1500, 2000], 'it stands upright, turned once');
  ({ scraps } = document);
  // tests/photos/scraps-1.json is what was rendered.
  const { scraps: true_ } = JSON.parse(readFileSync(new URL('../photos/scraps-1.json', import.meta.url)));
  expect(scraps.length >= true_.length - 1 && scraps.length <= true_.length + 1, `${scraps.length} scraps, ${true_.length} lie there`);
  // What libvips, which is not of this project, read of the EXIF that the page wrote.
  const kept = spawnSync('sqlite3', [book, '.dump photo'], { encoding: 'utf8', maxBuffer: 1 << 28 }).stdout;
  expect(kept.includes('"camera":"Maker Invented"'), 'the camera is known');
  same(page.faults, [], 'faults');
  await page.close2();
});

await test('a_picture_that_only_the_browser_reads_is_brought_in_too', async () => {
  const page = await openPage(browser, base, phone);
  page.setDefaultTimeout(30000);
  await page.place('scraps');
  // The browser itself makes a WebP, which the program does not read.
  const webp = await page.evaluate(async (bytes) => {
    const bitmap = await createImageBitmap(new Blob([new Uint8Array(bytes)]));
    const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
    canvas.getContext('2d').drawImage(bitmap, 0, 0);
    const blob = await canvas.convertToBlob({ type: 'image/webp', quality: 0.9 });
    return [...new Uint8Array(await blob.arrayBuffer())];
  }, [...small]);
  same(String.fromCharCode(...webp.slice(8, 12)), 'WEBP', 'its kind');
  await page.locator('input[type=file]').first().setInputFiles({ name: 'table.webp', mimeType: 'image/webp', buffer: Buffer.from(webp) });
  await page.waitForFunction(() => /^#\/scraps\/\d/.test(location.hash));
  const { photo } = await ask(`api/photos/${new URL(page.url()).hash.split('/')[2]}`);
  same([photo.width_px, photo.height_px, photo.name], [2000, 1500, 'table.jpg'], 'as a JPEG');
  await page.locator('.journal').getByRole('button', { name: 'Undo' }).click();
  same(page.faults.filter((one) => !/404/.test(one)), [], 'faults');
  await page.close2();
});

await test('photos_on_their_way_outlive_a_reload_and_come_in_once_each', async () => {
  const page = await openPage(browser, base, phone);
  page.setDefaultTimeout(60000);
  const before = (await ask('api/photos')).photos.length;
  await page.place('scraps');
  const files = ['one.jpg', 'two.jpg'].map((name, i) => ({ name, mimeType: 'image/jpeg', buffer: Buffer.concat([small, Buffer.from([i])]) }));
  const begun = page.waitForRequest((one) => one.method() === 'PUT'); // the first one is on its way
  await page.locator('input[type=file]').first().setInputFiles(files);
  await page.getByRole('progressbar', { name: 'Measuring two.jpg' }).waitFor();
  await begun;
  await page.reload();
  // A second page of the same browser leaves them to the first.
  const second = await page.context().newPage();
  await second.goto(`${base}#/scraps`);
  await page.waitForFunction(() => /scraps.\d/.test(location.hash) && !document.querySelector('.uploads li'));
  const after = (await ask('api/photos')).photos.map((one) => one.name);
  same(after.slice(0, after.length - before).sort(), ['one.jpg', 'two.jpg'], 'photos that came in');
  await page.reload();
  await still(page);
  same(await page.locator('.uploads li').count(), 0, 'still on their way');
  for (let i = 0; i < 2; i++) await ask('api/undo', {});
  await page.close2();
});

// ---- outlines ---------------------------------------------------------------------------------

const outline = async (which) => (await ask(`api/photos/${id}`)).scraps.find((one) => one.id === which);
const corner = (page, n) => page.getByRole('button', { name: new RegExp(`^Corner ${n} of`) });
async function mend(page, which) {
  await page.place('scraps', String(id), 'mend', String(which));
  await corner(page, 1).waitFor();
}
async function nudge(page, n, key) {
  await corner(page, n).focus();
  await page.keyboard.press(key);
  await page.getByRole('button', { name: 'As it was' }).waitFor();
}
const near = (p, q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < 1e-3;
const missing = (ring, from) => ring.filter((p) => !from.some((q) => near(p, q)));

await test('an_outline_half_mended_outlives_a_reload_and_going_back', async () => {
  const page = await openPage(browser, base, phone);
  const [scrap] = scraps;
  await mend(page, scrap.id);
  await nudge(page, 1, 'ArrowRight');
  await page.reload();
  await page.getByRole('button', { name: 'As it was' }).waitFor();
  await page.place('basket');
  await page.goBack();
  await page.getByRole('button', { name: 'Keep this outline' }).click();
  await page.getByText(`Outline of scrap ${scrap.number} mended`).first().waitFor();
  same(missing((await outline(scrap.id)).outline_in, scrap.outline_in).length, 1, 'corners that moved');
  await page.reload();
  await corner(page, 1).waitFor();
  same(await page.getByRole('button', { name: 'As it was' }).count(), 0, 'nothing half done is left');
  same(page.faults, [], 'faults');
  await page.close2();
});

await test('two_devices_at_one_outline_the_second_is_told_and_keeps_both', async () => {
  const [first, second] = [await openPage(browser, base, phone), await openPage(browser, base, laptop)];
  second.expected = /status of 409/;
  const scrap = await outline(scraps[1].id);
  await mend(first, scrap.id);
  await mend(second, scrap.id);
  await nudge(second, 1, 'ArrowRight');
  const corners = await first.locator('.handle').count();
  await nudge(first, Math.ceil(corners / 2) + 1, 'ArrowLeft');
  await press(first, 'Keep this outline');
  await first.getByText(/^Outline of scrap \d+ mended/).first().waitFor();
  const theirs = await outline(scrap.id);
  await press(second, 'Keep this outline');
  await second.getByText('app.changed-meanwhile').waitFor();
  await accessible(second, 'told');
  await reachable(second, 'told');
  await picture(second, 'merge-told-laptop');
  await press(second, 'Keep both: mine and theirs');
  await second.getByText(/has both changes\. Look at it/).first().waitFor();
  same(await second.getByText('app.changed-meanwhile').count(), 0, 'the question is answered');
  await press(second, 'Keep this outline');
  await second.getByText(/^Outline of scrap \d+ mended/).first().waitFor();
  const both = await outline(scrap.id);
  const [hers] = missing(theirs.outline_in, scrap.outline_in);
  expect(both.outline_in.some((p) => near(p, hers)), 'what the first device moved is there');
  const mine = missing(both.outline_in, theirs.outline_in);
  expect(mine.length === 1 && scrap.outline_in.some((p) => near([mine[0][0] - 1 / 16, mine[0][1]], p)), 'and what the second moved');
  same([...first.faults, ...second.faults], [], 'faults');
  await first.close2();
  await second.close2();
});

await test('an_outline_kept_while_the_wifi_is_away_waits_and_one_that_was_refused_comes_back_to_mend', async () => {
  const page = await openPage(browser, base, phone);
  page.expected = /ERR_INTERNET_DISCONNECTED|status of 409/;
  const scrap = await outline(scraps[2].id);
  await mend(page, scrap.id);
  await page.context().setOffline(true);
  await nudge(page, 1, 'ArrowRight');
  await press(page, 'Keep this outline');
  await page.getByText('1 tap waits on this device').waitFor();
  await nudge(page, 1, 'ArrowRight'); // once more, on what waits
  await press(page, 'Keep this outline');
  await page.getByText('2 taps wait on this device').waitFor();
  await page.context().setOffline(false);
  await page.waitForFunction(() => !document.querySelector('.away'));
  const mended = await outline(scrap.id);
  const [moved] = missing(mended.outline_in, scrap.outline_in);
  expect(scrap.outline_in.some((p) => near([moved[0] - 1 / 8, moved[1]], p)), 'both steps arrived');
  // Now another device is quicker.
  await page.context().setOffline(true);
  await nudge(page, 1, 'ArrowLeft');
  await press(page, 'Keep this outline');
  await page.getByText('1 tap waits on this device').waitFor();
  await ask(`api/scraps/${scrap.id}/outline`, { outline_in: scrap.outline_in }, 'PUT');
  await page.place('basket').catch(() => {}); // she looks elsewhere meanwhile
  await page.context().setOffline(false);
  await page.getByText('look at them').waitFor();
  await press(page, 'Show them');
  await accessible(page, 'refused');
  await reachable(page, 'refused');
  await picture(page, 'refused-outline-phone');
  await page.getByRole('link', { name: 'Look at it' }).click();
  await page.getByText('app.changed-meanwhile').waitFor();
  await page.getByRole('button', { name: 'Keep this outline' }).waitFor();
  await press(page, 'Show it as it is now');
  await page.waitForFunction(() => !document.querySelector('.away'));
  await page.close2();
});

// ---- the rest -----------------------------------------------------------------------------------

await test('a_setting_changed_while_the_wifi_is_away_holds_here_at_once_and_is_kept_later', async () => {
  const page = await openPage(browser, base, phone);
  page.expected = /ERR_INTERNET_DISCONNECTED/;
  await page.place('settings');
  await page.getByRole('radio', { name: 'centimetres' }).waitFor();
  await page.context().setOffline(true);
  await page.getByRole('radio', { name: 'centimetres' }).check();
  await page.getByText('1 tap waits on this device').waitFor();
  expect(await page.getByRole('radio', { name: 'centimetres' }).isChecked(), 'it shows');
  await page.context().setOffline(false);
  await page.waitForFunction(() => !document.querySelector('.away'));
  same((await ask('api/settings')).system, 'metric', 'in the book');
  await ask('api/settings', { system: 'inches' }, 'PUT');
  await page.close2();
});

await test('what_she_got_and_cut_so_far_outlives_a_reload', async () => {
  const page = await openPage(browser, base, phone);
  await page.place('scraps', String(id), 'cut');
  await page.getByText(/^Cut 1 of/).waitFor();
  await page.getByRole('button', { name: 'Cut', exact: true }).click();
  await page.getByText(/^Cut 2 of/).waitFor();
  await page.getByRole('button', { name: /^Less: Squares that/ }).first().click();
  const says = await page.getByRole('button', { name: /^Put \d+ in basket/ }).textContent();
  await page.reload();
  await page.getByText(/^Cut 2 of/).waitFor();
  same(await page.getByRole('button', { name: /^Put \d+ in basket/ }).textContent(), says, 'what goes into the basket');
  same(page.faults, [], 'faults');
  await page.close2();
});

await test('a_design_half_drawn_outlives_a_reload_and_can_still_be_taken_back', async () => {
  const page = await openPage(browser, base, laptop);
  await page.place('quilts', 'start', '*draw');
  await page.getByLabel('Name of the pattern').fill('Half drawn');
  await page.reload();
  await page.getByLabel('Name of the pattern').waitFor();
  same(await page.getByLabel('Name of the pattern').inputValue(), 'Half drawn', 'its name');
  expect(!await page.getByRole('button', { name: 'Take the last stroke back' }).isDisabled(), 'a step back is left');
  same(page.faults, [], 'faults');
  await page.close2();
});

await test('a_search_for_an_arrangement_goes_on_while_she_looks_elsewhere', async () => {
  const page = await openPage(browser, base, laptop);
  page.setDefaultTimeout(15000);
  const { quilts } = await ask('api/quilts');
  let name;
  for (const { quilt } of quilts) if ((await ask(`api/quilts/${encodeURIComponent(quilt)}/wall`)).blocks?.length > 8) name ??= quilt;
  await page.place('quilts', name, 'arrange');
  await page.getByText('What matters to you').click();
  await page.getByRole('radio', { name: '60 s' }).check();
  const trying = page.getByRole('progressbar', { name: /^Trying/ });
  await press(page, 'Find better places');
  await trying.waitFor();
  await page.reload();
  await trying.waitFor();
  await page.place('basket');
  await page.goBack();
  await press(page, 'Stop, this is good');
  await page.getByText('Stopped early: the best so far.').waitFor();
  await page.reload();
  await page.getByText('Stopped early: the best so far.').waitFor();
  await fits(page, 'arrange');
  same(page.faults, [], 'faults');
  await page.close2();
});

await browser.close();
await stop();
rmSync(folder, { recursive: true });
finish();
