// The whole job once, on the real program: photo in, outlines, cut, basket, a quilt, the
// next block, crossed off, undone, and its sheet of paper. Prints TAP.
//
//   node tests/page/journey.mjs BASE_URL PHOTO.jpg PHOTO2.jpg
//
// The first photo goes in on a phone, the second on a laptop; their scraps end up cut.
import { accessible, expect, fits, finish, laptop, launch, noSlip, openPage, phone, picture, reachable, same, test } from './browser.mjs';

const [base, ...photos] = process.argv.slice(2);
if (photos.length !== 2) {
  console.error('usage: journey.mjs BASE_URL PHOTO.jpg PHOTO2.jpg');
  process.exit(2);
}
const url = base.endsWith('/') ? base : `${base}/`;
const ask = async (path) => (await fetch(url + path)).json();

const browser = await launch();

for (const [size, photo] of [[phone, photos[0]], [laptop, photos[1]]]) {
  const page = await openPage(browser, url, size);
  page.setDefaultTimeout(20000);
  const press = (words) => page.getByRole('button', { name: words, exact: true }).first().click();
  const shows = (words) => page.getByText(words).filter({ visible: true }).first().waitFor();
  const step = (name, run) => test(`${name}_on_${size.name}`, run);
  const quilt = `Harbour wall ${size.name} ${Date.now() % 100000}`;
  let found = 0;
  let before = 0;

  const looked = async (name) => {
    // At the end of the view the main button lies in its own place and over no row.
    await page.evaluate(() => window.scrollTo(0, document.documentElement.scrollHeight));
    await accessible(page, name);
    await page.evaluate(() => window.scrollTo(0, 0));
    await reachable(page, name);
    await fits(page, name);
    await picture(page, `real-${name}-${size.name}`);
  };

  await step('a_photo_goes_in_and_its_scraps_are_outlined', async () => {
    before = (await ask('api/basket')).squares;
    await page.place('scraps');
    const file = page.locator('input[type=file]').first();
    await file.setInputFiles(photo);
    await page.getByRole('progressbar').first().waitFor();
    await page.waitForFunction(() => /^#\/scraps\/\w/.test(location.hash));
    await page.locator('.plan .piece').first().waitFor();
    found = await page.locator('.plan .piece').count();
    const id = decodeURIComponent(new URL(page.url()).hash.split('/')[2]);
    const { scraps } = await ask(`api/photos/${id}`);
    same(found, scraps.length, 'outlines over the picture');
    expect(found > 3, `${found} scraps found`);
    await page.waitForFunction(() => document.querySelector('.plan img').naturalWidth > 0);
    await looked('photo');
  });

  await step('a_scrap_shows_its_area_and_its_cut', async () => {
    await page.locator('.scrap-rows button').first().click();
    await page.getByRole('dialog').getByText(/about .*\ssq\sin/).waitFor();
    await page.locator('dialog .says').waitFor();
    await looked('scrap');
    await page.keyboard.press('Escape');
  });

  await step('what_is_cut_goes_into_the_basket', async () => {
    await page.getByRole('link', { name: 'Cut these' }).click();
    const put = page.getByRole('button', { name: /Put \d+ in basket/ });
    await put.waitFor();
    const n = Number(/\d+/.exec(await put.textContent())[0]);
    expect(n > 0, `${n} squares planned`);
    await looked('cut');
    await noSlip(page); // it lies where "Cut these" lay
    await put.click();
    await page.waitForFunction(() => location.hash === '#/basket');
    await page.waitForFunction((sum) => document.querySelector('.huge')?.textContent.replace(/\D/g, '') === String(sum), before + n);
    same((await ask('api/basket')).squares, before + n, 'squares in the book');
    await looked('basket');
  });

  await step('undo_takes_the_squares_out_and_redo_puts_them_back', async () => {
    const { squares } = await ask('api/basket');
    await page.locator('.journal').getByRole('button', { name: 'Undo' }).click();
    await page.waitForFunction((sum) => document.querySelector('.huge')?.textContent.replace(/\D/g, '') === String(sum) || sum === 0 && !document.querySelector('.huge'), before);
    await page.locator('.journal').getByRole('button', { name: 'Redo' }).click();
    await page.waitForFunction((sum) => document.querySelector('.huge')?.textContent.replace(/\D/g, '') === String(sum), squares);
  });

  await step('squares_are_added_by_hand', async () => {
    // Enough of several kinds for a whole block, whatever the photo gave.
    const { squares } = await ask('api/basket');
    await page.getByText('Add or take by hand').click();
    await page.getByRole('textbox', { name: 'Squares put in' }).fill('40');
    await page.keyboard.press('Tab');
    await press('Put 40 in');
    await page.waitForFunction((sum) => document.querySelector('.huge')?.textContent.replace(/\D/g, '') === String(sum), squares + 40);
  });

  await step('a_quilt_is_started_with_its_plan_in_view', async () => {
    await page.place('quilts', 'start');
    await page.getByRole('link', { name: /Lattice chain/ }).click();
    await page.getByRole('textbox', { name: 'Blocks across' }).fill('12');
    await page.keyboard.press('Tab');
    await page.getByRole('textbox', { name: 'Blocks down' }).fill('16');
    await page.keyboard.press('Tab');
    for (const [n, kind] of [[24, 'cross'], [48, 'stroke'], [120, 'plain']]) await shows(new RegExp(`^${n}\\s+${kind}`));
    await looked('start');
    await page.getByLabel(/Its name/).fill(quilt);
    await press('Start this quilt');
    await shows('0 of 192 blocks made');
    same((await ask(`api/quilts/${encodeURIComponent(quilt)}`)).left, 192, 'blocks left in the book');
    await looked('chart');
  });

  await step('the_next_block_is_composed_and_made', async () => {
    await page.place('quilts', quilt, 'next');
    await page.locator('.block .patch').first().waitFor();
    await looked('next');
    const had = (await ask('api/basket')).squares;
    await press('Turn some over');
    await press('Made it');
    await shows('1 of 192 blocks made');
    const { squares } = await ask('api/basket');
    expect(squares < had, `the basket went from ${had} to ${squares}`);
  });

  await step('a_tap_crosses_off_and_a_second_tap_undoes', async () => {
    await page.place('quilts', quilt);
    const place = page.getByRole('gridcell', { name: /^Row 2, 3rd/ });
    await place.click();
    await shows('2 of 192 blocks made');
    await noSlip(page);
    await place.click();
    await shows('1 of 192 blocks made');
    await page.getByRole('gridcell', { name: /^Row 2, 3rd: .*not made/ }).waitFor();
  });

  await step('the_chart_is_printed_from_a_link', async () => {
    await page.place('quilts', quilt, 'paper');
    const href = await page.getByRole('link', { name: 'Chart to cross off' }).getAttribute('href');
    const sheet = await fetch(new URL(href, url));
    same(sheet.status, 200, 'status');
    same((await sheet.text()).slice(0, 5), '%PDF-', 'the first bytes');
    await looked('paper');
  });

  await step('the_record_and_the_settings_are_in_view', async () => {
    await page.place('record');
    await shows(quilt);
    await looked('record');
    await page.place('settings');
    await shows('Unit that squares are cut to');
    await looked('settings');
  });

  await step('the_quilt_is_taken_out_and_comes_back', async () => {
    await page.place('quilts', quilt, 'paper');
    await press('Take this quilt out of the book');
    await page.waitForFunction(() => location.hash === '#/quilts');
    await shows(`${quilt} taken out of the book`);
    await page.locator('.said').getByRole('button', { name: 'Undo' }).click();
    await page.getByRole('link', { name: new RegExp(quilt) }).waitFor();
  });

  await step('no_policy_is_broken_and_nothing_leaves_the_program', () => same(page.faults, [], 'faults'));
  await page.close2();
}

await browser.close();
finish();
