// Blocks by photo on the real program: found, crossed off once, asked about, and told where
// they go. Prints TAP.
//
//   node tests/page/blocks.mjs MOTLEY
import { fileURLToPath } from 'node:url';
import { accessible, answered, expect, finish, fits, journeySizes, launch, openPage, phone, picture, reachable, same, test } from './browser.mjs';
import { start } from './program.mjs';

const [program] = process.argv.slice(2);
const { address, stop } = await start(program);
const url = `${address}/`;
const ask = async (path) => (await fetch(url + path)).json();
const photo = fileURLToPath(new URL('../photos/blocks-1.jpg', import.meta.url));
const browser = await launch();

for (const size of journeySizes(phone)) {
  const page = await openPage(browser, url, size);
  page.setDefaultTimeout(20000);
  const step = (name, run) => test(`${name}_on_${size.name}`, run);
  const quilt = `Ebb ${size.name}`;
  const path = `api/quilts/${encodeURIComponent(quilt)}`;
  const looked = async (name) => {
    await accessible(page, name);
    await reachable(page, name);
    await fits(page, name);
    await picture(page, `blocks-${name}-${size.name}`);
  };
  await fetch(`${url}api/quilts`, {
    method: 'POST', headers: { 'Content-Type': 'application/json', Origin: address },
    body: JSON.stringify({ quilt, design: 'lattice-chain', across: 8, down: 8, unit: '2in' }),
  });

  await step('the_chart_leads_to_the_photo', async () => {
    await page.place('quilts', quilt);
    await page.getByRole('link', { name: 'Photograph finished blocks' }).click();
    await page.getByText('Lay finished blocks beside the measuring card').waitFor();
    await looked('before');
  });

  await step('four_blocks_are_crossed_off_and_shown', async () => {
    await page.locator('input[type=file]').first().setInputFiles(photo);
    await page.getByRole('heading', { name: '4 blocks crossed off' }).waitFor();
    same((await ask(path)).made, 4, 'blocks made');
    same(await page.locator('.seen-block').count(), 4, 'blocks shown');
    await page.getByRole('heading', { name: 'How the sizes come out' }).waitFor();
    await page.waitForFunction(() => [...document.querySelectorAll('.seen-block img')].every((it) => it.complete && it.naturalWidth > 0 || !it.src));
    await looked('made');
  });

  await step('the_answer_outlives_a_reload', async () => {
    await page.reload();
    await page.getByRole('heading', { name: '4 blocks crossed off' }).waitFor();
    same(await page.locator('.seen-block').count(), 4, 'blocks shown');
  });

  await step('the_same_photo_counts_nothing_twice', async () => {
    await page.locator('input[type=file]').first().setInputFiles(photo);
    await page.getByText('4 blocks were there already').waitFor();
    same((await ask(path)).made, 4, 'blocks made');
  });

  await step('each_block_is_told_where_it_goes', async () => {
    await page.locator('input[type=file]').nth(1).setInputFiles(photo);
    await page.getByRole('heading', { name: 'Where do these go?' }).waitFor();
    same(await page.locator('main ol li').count(), 4, 'places told');
    await looked('places');
  });

  await step('undo_takes_the_photo_back', async () => {
    await answered(page, '/api/undo', () => page.getByRole('button', { name: 'Undo' }).first().click());
    same((await ask(path)).made, 0, 'blocks made');
  });

  await step('what_is_no_photo_of_blocks_is_said_in_words', async () => {
    await page.locator('input[type=file]').first().setInputFiles({ name: 'note.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('no photo') });
    await page.getByRole('alert').waitFor();
    expect(/photo/i.test(await page.getByRole('alert').innerText()), 'what went wrong');
  });
  await page.close();
}
await browser.close();
await stop();
finish();
