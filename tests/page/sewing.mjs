// Sewing and looking ahead on the real program: what to cut ahead, the rows and their
// pressing, the seam test, when the quilt will be done. Prints TAP.
//
//   node tests/page/sewing.mjs MOTLEY
import { accessible, drawn, expect, fits, finish, journeySizes, launch, openPage, phone, picture, reachable, same, test } from './browser.mjs';
import { start } from './program.mjs';

const [program] = process.argv.slice(2);
const { address, stop } = await start(program);
const url = `${address}/`;
const ask = async (path) => (await fetch(url + path)).json();
const browser = await launch();

for (const size of journeySizes(phone)) {
  const page = await openPage(browser, url, size);
  page.setDefaultTimeout(15000);
  const step = (name, run) => test(`${name}_on_${size.name}`, run);
  const looked = async (name) => {
    await accessible(page, name);
    await reachable(page, name);
    await fits(page, name);
    await picture(page, `sewing-${name}-${size.name}`);
  };

  await step('what_to_cut_ahead_follows_the_number_of_blocks', async () => {
    await page.place('quilts', 'Tideline', 'sew');
    const { cut } = await ask('api/quilts/Tideline/sew?next=12');
    await page.getByText(`${cut[0].count} of background`).waitFor();
    await looked('sew');
    await page.getByRole('button', { name: /more/i }).first().click().catch(async () => page.getByRole('button', { name: '+', exact: true }).first().click());
    const more = await ask('api/quilts/Tideline/sew?next=13');
    if (more.cut[0].count !== cut[0].count) await page.getByText(`${more.cut[0].count} of background`).waitFor();
  });

  await step('the_seam_test_answers_while_it_is_typed', async () => {
    const field = page.getByLabel('They measure');
    await field.pressSequentially('6 3/8', { delay: 60 });
    await page.getByText(/too wide/).waitFor();
    same(await field.inputValue(), '6 3/8', 'what is typed stays');
    await field.fill('6 1/2');
    await page.getByText('Your seam is true.').waitFor();
    await field.fill('70');
    await page.getByRole('alert').waitFor();
    await field.fill('');
  });

  await step('how_each_block_is_pressed_is_told_place_by_place', async () => {
    await page.getByText('How each block is pressed').click();
    const { nesting } = await ask('api/quilts/Tideline/sew');
    same(await page.locator('.sew-ways td').count(), nesting.ways.flat().length, 'places');
    await looked('nesting');
  });

  await step('joining_goes_by_the_pressing_that_sewing_tells', async () => {
    const { nesting } = await ask('api/quilts/Tideline/sew');
    const { steps } = await ask('api/quilts/Tideline/assemble');
    const sum = (name) => steps.reduce((all, one) => all + one[name], 0);
    same(sum('nested'), Math.round(nesting.solved * nesting.joints), 'joints that nest');
    await page.getByLabel('Open', { exact: true }).check({ force: true });
    await page.getByText('Press open.').first().waitFor();
    await page.getByText(/do not lock where they meet/).waitFor();
    await page.place('quilts', 'Tideline', 'assemble');
    await page.getByText('Press the seams open.').first().waitFor();
    same(await page.getByText(/joints nest/).count(), 0, 'nothing nests');
    await page.place('quilts', 'Tideline', 'sew');
    await page.getByLabel(/To one side/).check({ force: true });
    await page.getByText('How each block is pressed').waitFor();
    await page.place('quilts', 'Tideline', 'assemble');
    await page.getByText(/when the blocks are pressed as Sew says/).first().waitFor();
  });

  await step('what_she_taps_stays_chosen_until_it_is_answered_and_falls_back_where_it_is_refused', async () => {
    await page.place('quilts', 'Tideline', 'sew');
    const side = page.getByLabel(/To one side/);
    const open = page.getByLabel('Open', { exact: true });
    await side.waitFor({ state: 'attached' });
    let answer;
    const asked = new Promise((resolve) => { page.route('**/assembled', (route) => { answer = route; resolve(); }); });
    await open.click({ force: true });
    await asked;
    await drawn(page);
    expect(await open.isChecked() && !await side.isChecked(), 'while it is on its way');
    await answer.fulfill({ status: 409, contentType: 'application/json', body: JSON.stringify({ error: { code: 'book.busy', message: 'No.', hint: 'Again.' } }) });
    await page.waitForFunction(() => document.querySelector('input[name=sew-press][value=side]').checked);
    await page.unroute('**/assembled');
    page.faults.length = 0; // the browser tells of the refusal
    await page.locator('.said').getByRole('button', { name: 'Close' }).click();
  });

  await step('a_measured_row_is_judged_and_ticked', async () => {
    await page.place('quilts', 'Tideline', 'assemble');
    const { steps: [row] } = await ask('api/quilts/Tideline/assemble?by=rows');
    await page.getByLabel('By rows').check({ force: true });
    const field = page.getByLabel(/^Measures/).first();
    await field.fill(`${row.planned_in - 2} in`);
    await field.press('Enter');
    await page.getByText(/Too short by/).waitFor();
    await page.getByRole('button', { name: 'It does' }).first().click();
    await page.getByText('It is true.').waitFor();
    await page.getByRole('checkbox').first().check();
    await page.getByText(/^1 of \d+ steps/).waitFor();
    await looked('assemble');
    await page.getByRole('checkbox').first().uncheck();
    await page.getByText(/^0 of \d+ steps/).waitFor();
  });

  await step('cloth_follows_what_the_quilt_measures', async () => {
    await page.place('quilts', 'Tideline', 'finish');
    await page.getByLabel(/really measures/).fill('63 x 90 in');
    await page.getByLabel(/really measures/).press('Enter');
    await page.getByText('as you measured it').waitFor();
    await page.getByText('5½ yd').waitFor(); // two lengths of 98 in (docs of the trade: 5 1/2 yd)
    await page.getByLabel(/may stay unquilted/).fill('8 in');
    await page.getByLabel(/may stay unquilted/).press('Enter');
    await page.getByText(/7 lines across/).waitFor();
    await page.getByLabel(/Your lines/).fill('10 in');
    await page.getByLabel(/Your lines/).press('Enter');
    await page.getByText(/too far for this batting/).waitFor();
    await looked('finish');
    await page.getByLabel(/Your lines/).fill('');
    await page.getByLabel(/Your lines/).press('Enter');
    await page.getByText(/too far for this batting/).waitFor({ state: 'hidden' });
  });

  await step('a_source_stands_out_and_leads_to_its_fabrics', async () => {
    await page.place('quilts', 'Tideline', 'story');
    const { sources, fabrics } = await ask('api/quilts/Tideline/record');
    const map = page.locator('.story-map');
    await map.scrollIntoViewIfNeeded(); // it is drawn when it comes near
    await page.getByLabel('Stand out').selectOption({ label: sources[0].source });
    await page.waitForFunction((name) => document.querySelector('.story-map')?.src.includes(`source=${name.replaceAll(' ', '+')}`) && document.querySelector('.story-map').naturalWidth > 0, sources[0].source);
    const saved = await fetch(url + (await page.getByRole('link', { name: 'SVG' }).getAttribute('href')).slice(1));
    same(saved.headers.get('content-type'), 'image/svg+xml', 'what is kept of it');
    await looked('story');
    await page.getByRole('link', { name: fabrics[0].name }).first().click();
    await page.getByRole('heading', { name: 'What is left' }).waitFor();
    await looked('fabric');
  });

  await step('a_photo_finds_the_fabric_that_it_shows', async () => {
    await page.place('record');
    const { fabrics } = await ask('api/fabrics?limit=12');
    const wanted = fabrics.find((one) => one.swatch);
    const swatch = Buffer.from(await (await fetch(`${url}api/fabrics/${wanted.fabric}/swatch.jpg`)).arrayBuffer());
    const [chooser] = await Promise.all([page.waitForEvent('filechooser'), page.getByText('Or by a photo').click()]);
    await chooser.setFiles({ name: 'cloth.jpg', mimeType: 'image/jpeg', buffer: swatch });
    await page.getByText(/most alike first, by colours and print/).waitFor();
    same(await page.locator('.found a').first().innerText(), wanted.name, 'the first found');
    await looked('found');
    await page.locator('.found a').first().click();
    await page.getByRole('heading', { name: 'What is left' }).waitFor();
    await page.goBack();
    const [again] = await Promise.all([page.waitForEvent('filechooser'), page.getByText('Or by a photo').click()]);
    page.expected = /422|400/;
    await again.setFiles({ name: 'none.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('no picture') });
    await page.getByRole('alert').waitFor();
  });

  await step('the_years_lie_in_layers', async () => {
    await page.place('record');
    await page.getByText('The basket through the years').click();
    const { years } = await ask('api/years');
    await page.getByRole('heading', { name: String(years[years.length - 1].year), exact: true }).waitFor();
    same(await page.locator('.year-strata').first().locator('text').count(), years.length, 'years');
    const drawn = await fetch(url + (await page.getByRole('link', { name: 'This year as a picture' }).getAttribute('href')).slice(1));
    same(drawn.headers.get('content-type'), 'image/png', 'a year as a picture');
    await page.getByText('Values and colours by season').click();
    same(await page.locator('.one-year tbody tr').count(), 4, 'seasons');
    await looked('years');
  });

  await step('the_basket_says_what_it_wants_to_become', async () => {
    await page.place('quilts');
    await page.getByText('What the basket wants to become').click();
    const { designs } = await ask('api/wants');
    await page.locator('.wants').getByText(designs[0].name, { exact: true }).waitFor();
    same(await page.locator('#wants-size option').allTextContents(), ['for a lap, about 40 × 50 in', 'a throw, about 60 × 72 in', 'a bed, about 84 × 92 in'], 'sizes in her unit');
    await looked('wants');
    await page.locator('.wants a').first().click();
    await page.getByText(designs[0].name).first().waitFor();
  });

  await step('when_it_will_be_done_follows_a_wish', async () => {
    await page.place('quilts', 'Tideline', 'foresee');
    await page.getByRole('heading', { name: 'When?' }).waitFor();
    await looked('foresee');
    const { pace } = await ask('api/quilts/Tideline/forecast');
    await page.getByText('The same as a table').click();
    for (const [by, rows] of [['day', pace.by_day], ['season', pace.seasons], ['week', pace.by_week]]) {
      await page.getByLabel(`by ${by}`).check({ force: true });
      await page.waitForFunction((n) => document.querySelectorAll('.narrow table tbody tr').length === n, rows.length);
    }
    await page.getByRole('slider').fill('30');
    await page.getByText('30 blocks a week.').waitFor();
    const { if: wished } = await ask('api/quilts/Tideline/forecast?per_week=30');
    const year = wished.done.slice(0, 4);
    expect((await page.getByText(/done .*\d{4}/).last().innerText()).includes(year), `the year ${year}`);
  });
  await page.close();
}
await browser.close();
await stop();
finish();
