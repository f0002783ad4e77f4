// Planning and buying on the real program: the catalogue, a design of her own, a size from
// a bed, and the shopping list with what is bought. Prints TAP.
//
//   node tests/page/planning.mjs MOTLEY
import { accessible, answered, expect, finish, fits, journeySizes, laptop, launch, noSlip, openPage, picture, reachable, same, test } from './browser.mjs';
import { start } from './program.mjs';

const [program] = process.argv.slice(2);
const { address, stop } = await start(program);
const url = `${address}/`;
const ask = async (path) => (await fetch(url + path)).json();
const browser = await launch();

for (const size of journeySizes(laptop)) {
  const page = await openPage(browser, url, size);
  page.setDefaultTimeout(15000);
  const press = (words) => page.getByRole('button', { name: words, exact: true }).first().click();
  const shows = (words) => page.getByText(words).filter({ visible: true }).first().waitFor();
  const step = (name, run) => test(`${name}_on_${size.name}`, run);
  const looked = async (name) => {
    await accessible(page, name);
    await reachable(page, name);
    await fits(page, name);
    await picture(page, `plan-${name}-${size.name}`);
  };
  const star = `Evening ${size.name}`;
  const quilt = `Bed ${size.name}`;

  await step('the_catalogue_is_told_apart_by_block_triangles_and_share', async () => {
    await page.place('quilts', 'start');
    const { designs } = await ask('api/designs');
    await page.locator('.designs li').nth(30).waitFor();
    same(await page.locator('.designs li').count(), designs.length, 'patterns');
    await page.locator('.filters summary').click();
    await page.getByLabel('3 × 3').check();
    await page.getByLabel('Squares only').check();
    const few = designs.filter((one) => one.block === 3 && !one.triangles);
    await page.waitForFunction((n) => document.querySelectorAll('.designs li').length === n, few.length);
    await looked('catalogue');
    await page.getByLabel(/Same block, other quilt/).selectOption('Tideline');
    await shows(/^takes 73 blocks as they are/);
    await page.getByLabel('Any', { exact: true }).first().check();
  });

  await step('a_pattern_is_painted_with_triangles_and_turns_and_kept', async () => {
    await page.place('quilts', 'start', '*draw');
    await page.getByLabel('Name of the pattern').fill(star);
    await page.getByLabel('◤ half').check();
    await page.getByRole('button', { name: /^Row 1, 2: background/ }).click();
    await page.getByRole('button', { name: 'Row 1, 2: scrap upper left, background lower right' }).waitFor();
    await press('More: Repeat across');
    await page.getByRole('button', { name: 'Row 1, 2nd: one' }).click();
    await page.getByRole('button', { name: 'Row 1, 2nd: one, quarter turn right' }).waitFor();
    await looked('painter');
    await press('Keep this pattern');
    await shows('How large');
    const id = star.toLowerCase().replace(' ', '-');
    const kept = await ask(`api/designs/${id}`);
    same(kept.text, `name ${star}\nblock one S S/B S / B S B / S B S\nrepeat one one+1\n`, 'the text in the book');
    expect(kept.own && kept.triangles, 'her own, with triangles');
    const file = await (await fetch(`${url}api/designs/${id}/text`)).text();
    same(file, kept.text, 'the file');
  });

  await step('a_name_of_the_catalogue_is_refused_beside_the_button', async () => {
    await page.place('quilts', 'start', '*draw');
    await page.getByLabel('Name of the pattern').fill('Nine patch');
    await press('Keep this pattern');
    await shows('design.name-taken');
  });

  await step('a_file_brought_in_is_told_line_and_column_of_its_mistake', async () => {
    await page.place('quilts', 'start');
    await page.locator('#bring').setInputFiles({ name: 'moon.design', mimeType: 'text/plain', buffer: Buffer.from('name Moon\nblock a S B / B S\nrepeat a  moon\n') });
    await shows(/Line 3, column 11/);
    await press('Show me where');
    same(await page.evaluate(() => document.activeElement.selectionStart), 'name Moon\nblock a S B / B S\nrepeat a  '.length, 'the caret');
  });

  await step('each_of_the_four_steps_has_a_picture_of_the_result', async () => {
    await page.place('quilts', 'start');
    await shows('1 of 4');
    await page.place('quilts', 'start', 'lattice-chain');
    for (const n of [2, 3, 4]) {
      const heading = page.locator('.step', { hasText: `${n} of 4` });
      await heading.evaluate((it) => it.scrollIntoView({ block: 'start' }));
      await page.waitForFunction(() => [...document.querySelectorAll('.starting img')].some((it) => {
        const { top, bottom, width } = it.getBoundingClientRect();
        return width > 0 && it.naturalWidth > 0 && bottom > 0 && top < innerHeight && it.src.includes('/api/plan/picture.svg');
      }));
    }
    await page.getByRole('textbox', { name: 'Blocks across' }).fill('6');
    await page.keyboard.press('Tab');
    // 6 by 16 blocks of three squares of 2 in finished (2 1/2 in less two seams of 1/4 in).
    await page.locator('.result', { hasText: '36 × 96 in' }).waitFor({ state: 'attached' });
    await page.getByRole('textbox', { name: 'Blocks across' }).fill('12');
    await page.keyboard.press('Tab');
  });

  await step('a_bed_is_covered_and_the_nearest_two_are_offered', async () => {
    await page.place('quilts', 'start', 'lattice-chain');
    await page.getByLabel('To cover a bed').check();
    await shows('Whole repeats do not give 84 × 92 in. Nearest are:');
    same(await page.locator('.nearest button').count(), 2, 'buttons');
    await press('One more border');
    await page.getByLabel('Border 1', { exact: true }).fill('2 in');
    await page.keyboard.press('Tab');
    await shows(/^border 1, 2\sin of background: then/);
    await looked('plan');
    await page.locator('.nearest button').first().click();
    await page.getByRole('textbox', { name: 'Blocks across' }).waitFor();
    same(await page.getByRole('textbox', { name: 'Blocks across' }).inputValue(), '12', 'blocks across');
    await page.getByLabel(/Its name/).fill(quilt);
    await press('Start this quilt');
    await shows(/^0 of \d+ blocks made/);
    const kept = await ask(`api/quilts/${encodeURIComponent(quilt)}`);
    same(kept.borders.map((one) => one.width_in), [2], 'borders in the book');
    await page.place('quilts', 'start', 'lattice-chain');
    await page.getByLabel('By blocks').check();
  });

  await step('a_baby_size_brings_one_calm_line', async () => {
    await page.place('quilts', 'start', 'nine-patch');
    await page.getByRole('textbox', { name: 'Blocks across' }).fill('6');
    await page.keyboard.press('Tab');
    await page.getByRole('textbox', { name: 'Blocks down' }).fill('6');
    await page.keyboard.press('Tab');
    await shows(/^If it is for a baby/);
  });

  await step('what_is_bought_is_ticked_measured_and_undone', async () => {
    const path = `api/quilts/${encodeURIComponent(quilt)}/buy`;
    await page.place('quilts', quilt, 'buy');
    await page.getByLabel('Bought so far').first().fill('1/2 yd');
    await page.keyboard.press('Tab');
    await shows(/left to buy$/);
    same((await ask(path)).items[0].bought.length_in, 18, 'bought in the book');
    await page.getByRole('checkbox', { name: /^Background/ }).check();
    await page.locator('.tick.ticked').first().waitFor();
    await page.getByText('How it is cut').first().click();
    await page.waitForFunction(() => document.querySelector('.cloth-drawing')?.naturalWidth > 0);
    await page.getByLabel('Fabric for it').first().selectOption({ index: 1 });
    await page.locator('.chosen .cloth').first().waitFor();
    await page.getByText('Which background?').click();
    await page.locator('.background').nth(7).waitFor();
    await page.getByLabel('My fabrics').check();
    const { backgrounds } = await ask('api/backgrounds?from=fabrics&count=8');
    await shows(backgrounds[0].name);
    await page.locator('.backgrounds input[type=file]').setInputFiles(new URL('../photos/scraps-1.jpg', import.meta.url).pathname);
    await shows(/^The colours are those of the photo/);
    same(await page.locator('.background').count(), 1, 'the one in the photo');
    await looked('buying');
    for (let i = 0; i < 3; i++) {
      await noSlip(page);
      await answered(page, '/api/undo', () => page.locator('.journal').getByRole('button', { name: 'Undo' }).click());
    }
    same((await ask(path)).items[0].bought, { ...(await ask(path)).items[0].bought, length_in: 0, ticked: false }, 'nothing bought after undo');
  });

  await step('the_design_sheet_is_printed_from_a_link', async () => {
    await page.place('quilts', quilt, 'paper');
    const href = await page.getByRole('link', { name: 'Design sheet' }).getAttribute('href');
    const sheet = await fetch(new URL(href, url));
    same((await sheet.text()).slice(0, 5), '%PDF-', 'the first bytes');
  });

  await step('the_lists_follow_what_is_said_of_the_cloth', async () => {
    await page.place('quilts', 'Tideline', 'buy');
    await page.getByText('Your cloth').click();
    const plain = await ask('api/quilts/Tideline/buy');
    const shrunk = await ask('api/quilts/Tideline/buy?shrink=10&sleeve=4+in');
    expect(shrunk.items.length > plain.items.length, 'a sleeve is an item');
    await page.getByLabel('Shrinks by, %').pressSequentially('10', { delay: 80 });
    await page.getByLabel('Shrinks by, %').press('Tab');
    await page.getByLabel('Sleeve to hang it by, height').fill('4 in');
    await page.getByLabel('Sleeve to hang it by, height').press('Tab');
    await page.waitForFunction((n) => document.querySelectorAll('.buy .tick').length >= n, shrunk.items.length);
    same(await page.getByLabel('Shrinks by, %').inputValue(), '10', 'what was typed');
    await looked('cloth');
    for (const label of ['Shrinks by, %', 'Sleeve to hang it by, height']) {
      await page.getByLabel(label).fill('');
      await page.getByLabel(label).press('Tab');
    }
    await page.waitForFunction((n) => document.querySelectorAll('.buy .tick').length >= n, plain.items.length);
  });

  await step('nothing_leaves_the_program', () => same(page.faults.filter((one) => !/status of 409/.test(one)), [], 'faults'));
  await page.close2();
}

await browser.close();
await stop();
finish();
