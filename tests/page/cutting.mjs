// Cutting on the page, on the real program: a photo on the mat, cut by cut, timed; the
// pile sorted; rulers described and compared; the basket weighed.
//
// usage: node tests/page/cutting.mjs MOTLEY
import { readFileSync } from 'node:fs';
import { accessible, expect, finish, fits, journeySizes, launch, openPage, phone, picture, reachable, same, test } from './browser.mjs';
import { start } from './program.mjs';

const { address, stop } = await start(process.argv[2]);
const base = `${address}/`;
const browser = await launch();
const ask = async (path, body, method = 'POST') => (await fetch(`${base}${path}`, body === undefined ? {} : {
  method, headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body),
})).json();

const bytes = readFileSync(new URL('../photos/scraps-1.jpg', import.meta.url));
const { job } = await (await fetch(`${base}api/photos?name=Table.jpg`, { method: 'PUT', headers: { 'Content-Type': 'image/jpeg' }, body: bytes })).json();
for (let i = 0; i < 300; i++) {
  const { state } = await ask(`api/jobs/${job}`);
  if (state === 'done') break;
  await new Promise((later) => setTimeout(later, 100));
}
const [{ photo }] = (await ask('api/photos')).photos;

async function looked(page, name) {
  await fits(page, name);
  await reachable(page, name);
  await accessible(page, name);
  await picture(page, `${name}-${page.size.name}`);
}

for (const size of journeySizes(phone)) {
  const page = await openPage(browser, base, size);

  await test(`on_the_${size.name}_a_scrap_is_cut_line_by_line`, async () => {
    await page.place('scraps', String(photo), 'cut');
    await page.locator('.mat-picture').waitFor();
    const all = await page.locator('.mat-lines path:not(.next-under)').count();
    await page.getByText(`Cut 1 of ${all}`).waitFor();
    same(await page.locator('.mat-lines .made').count(), 0, 'cuts made at first');
    await page.getByRole('button', { name: 'Cut', exact: true }).click();
    await page.getByText(`Cut 2 of ${all}`).waitFor();
    same(await page.locator('.mat-lines .made').count(), 1, 'cuts made');
    await page.getByRole('button', { name: 'One back' }).click();
    await page.getByText(`Cut 1 of ${all}`).waitFor();
    expect(/passe?s? of the ruler/.test(await page.locator('.mat').textContent()), 'passes are told');
    await page.locator('.caution').waitFor();
    await looked(page, 'mat');
  });

  await test(`on_the_${size.name}_a_timed_pile_teaches_the_program_her_times`, async () => {
    const before = (await ask('api/tools')).times;
    await page.getByText('Time a pile').first().click();
    await page.getByRole('button', { name: 'Start the clock' }).click();
    expect(await page.getByRole('button', { name: 'Stop the clock' }).isDisabled(), 'nothing is cut yet');
    await page.getByRole('button', { name: 'All cut' }).click();
    await page.getByText('1 scrap cut meanwhile').waitFor();
    await page.getByRole('button', { name: 'Stop the clock' }).click();
    await page.getByText(/seconds to lay the ruler/).waitFor();
    const { times } = await ask('api/tools');
    same(times.piles, before.piles + 1, 'piles');
    expect(times.lay_s < before.lay_s, `${times.lay_s} s, before ${before.lay_s}`);
  });

  await test(`on_the_${size.name}_a_scrap_is_cut_another_way_for_once`, async () => {
    await page.place('scraps', String(photo), 'cut');
    await page.getByText('Cut another way this time').click();
    await page.getByLabel('Squares of').fill('2 in');
    await page.getByLabel('Squares of').press('Tab');
    await page.getByText('squares of 2 in').first().waitFor();
    page.expected = /400/;
    await page.getByLabel('Squares of').fill('1/8 in');
    await page.getByLabel('Squares of').press('Tab');
    await page.locator('.cutting .trouble').waitFor(); // the last plan stays
    await page.locator('.mat-picture').waitFor();
    await page.getByLabel('Squares of').fill('');
    await page.locator('.chip', { hasText: /^5\sin$/ }).click();
    await page.locator('.chip', { hasText: /^2½\sin$/ }).click();
    await page.getByText(/pieces? of several sizes/).waitFor();
    await page.locator('.mat-size').first().waitFor();
    await looked(page, 'mat-several');
  });

  await test(`on_the_${size.name}_a_piece_without_a_photo_is_typed_and_its_corners_moved`, async () => {
    await page.place('scraps', 'piece');
    await page.getByLabel('How wide and how high').fill('18 x 9 1/2 in');
    /* 7 x 3 by division: 18 / 2.5 = 7.2, 9.5 / 2.5 = 3.8 */
    await page.getByText('21 squares of 2½ in').waitFor();
    await page.getByRole('button', { name: 'All cut' }).click();
    await page.getByText('All of it is cut.').waitFor();
    const before = (await ask('api/basket')).squares;
    await page.getByRole('button', { name: 'Put 21 in basket' }).click();
    await page.getByText('21 squares put in the basket').waitFor();
    same((await ask('api/basket')).squares, before + 21, 'squares in the basket');
    await page.getByRole('button', { name: 'It is no rectangle' }).click();
    same(await page.locator('.piece-corners .handle').count(), 4, 'corners');
    await page.locator('.piece-corners .handle').nth(2).focus();
    for (let i = 0; i < 12; i++) await page.keyboard.press('Shift+ArrowDown');
    await page.getByText('21 squares of 2½ in').waitFor({ state: 'detached' });
    await page.locator('.piece-corners .handle').nth(2).press('Delete');
    same(await page.locator('.piece-corners .handle').count(), 3, 'corners of the triangle');
    await page.locator('.mat-picture').waitFor();
    await looked(page, 'piece');
    await page.getByRole('button', { name: 'It is a rectangle' }).click();
    page.expected = /400/;
    await page.getByLabel('How wide and how high').fill('18 by something');
    await page.locator('.cutting .trouble').waitFor();
  });

  await test(`on_the_${size.name}_the_pile_is_sorted`, async () => {
    await page.place('scraps', 'pile');
    await page.getByRole('heading', { name: /Cut to squares: \d/ }).waitFor();
    same(await page.locator('.pile-rows li').count(), 16, 'scraps');
    const told = await page.locator('.pile-rows .grow').allTextContents();
    same(told.filter((words) => words && !/^big enough for [^ ]+ × [^ ]+\sin$/.test(words)), [], 'what scraps are big enough for');
    await looked(page, 'pile');
  });

  await test(`on_the_${size.name}_rulers_are_described_and_compared`, async () => {
    const name = `slotted ${size.name}`;
    await page.place('settings');
    await page.getByText('Describe a ruler').click();
    await page.getByLabel('What you call it').fill(name);
    await page.getByLabel('Cutting length x width').fill('12 1/2 x 6 1/2 in');
    await page.locator('.by-hand').getByLabel('Slots across it', { exact: true }).last().fill('13');
    await page.locator('.by-hand').getByLabel('Slots across it', { exact: true }).last().press('Tab');
    await page.getByLabel('From slot to slot').fill('1/2 in');
    await page.getByRole('button', { name: 'Keep this ruler' }).click();
    await page.getByText(name, { exact: true }).waitFor();
    await page.getByRole('button', { name: 'Compare on my scraps' }).click();
    await page.getByText(/squares in \d+ passes of the ruler/).first().waitFor();
    await looked(page, 'tools');
    const { rulers } = await ask('api/tools');
    same(rulers.find((one) => one.ruler === name)?.slots, 13, 'slots');
  });

  await test(`on_the_${size.name}_thresholds_are_kept_and_what_cannot_be_is_answered`, async () => {
    await page.getByText('How the pile is sorted').click();
    await page.getByLabel('Keep whole from').fill('9 x 7 in');
    await page.getByLabel('Keep whole from').press('Tab');
    await page.waitForFunction(async () => (await (await fetch('/api/tools')).json()).cutting.whole_in[1] === 7);
    page.expected = /400/;
    await page.getByLabel('String from').fill('long');
    await page.getByLabel('String from').press('Tab');
    await page.locator('.setting .trouble').waitFor();
  });

  await test(`on_the_${size.name}_the_basket_is_weighed_and_its_range_shown`, async () => {
    await page.place('basket');
    await page.getByText('Weigh instead of counting').click();
    await page.getByLabel('What 20 squares weigh').fill('14.2');
    await page.getByLabel('What all of them weigh').fill('310');
    await page.getByRole('button', { name: 'That is all of them' }).click();
    await page.locator('.weigh .guess.figure').waitFor();
    /* 310 / 14.2 x 20 = 436.6 */
    expect(/about 437/.test(await page.locator('.weigh .guess').textContent()), 'about 437');
    await looked(page, 'weigh');
  });

  await test(`on_the_${size.name}_nothing_is_complained_of`, async () => {
    same(page.faults, [], 'faults');
  });
  await page.close2();
}

await browser.close();
await stop();
finish();
