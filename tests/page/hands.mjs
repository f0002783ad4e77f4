// Her hands on the real program: a double tap does once what it should, holding a key down too,
// and by the keyboard alone the focus is never lost. Prints TAP.
//
//   node tests/page/hands.mjs MOTLEY
import { expect, finish, laptop, launch, openPage, phone, picture, same, still, test } from './browser.mjs';
import { start } from './program.mjs';

const { address, stop } = await start(process.argv[2]);
const base = `${address}/`;
const browser = await launch();
const ask = async (path) => (await fetch(base + path)).json();
const send = (method, path, body) => fetch(base + path, { method, headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) });
const squares = async () => (await ask('api/basket')).squares;
const made = async (quilt) => (await ask(`api/quilts/${encodeURIComponent(quilt)}`)).made;

/** Two taps, or clicks, that come so soon after each other that the page draws nothing between. */
async function twice(page, target) {
  await target.scrollIntoViewIfNeeded();
  await still(page);
  const box = await target.boundingBox();
  const at = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  const session = await page.context().newCDPSession(page);
  const tap = page.size.hasTouch
    ? () => [session.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [at] }), session.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] })]
    : (clickCount) => ['mousePressed', 'mouseReleased'].map((type) => session.send('Input.dispatchMouseEvent', { type, ...at, button: 'left', clickCount }));
  await Promise.all([...tap(1), ...tap(2)]);
  await still(page);
}

// A photo with scraps that lie there, for what follows.
const photoOf = async (page, size) => {
  await page.place('scraps');
  await page.locator('input[type=file]').first().setInputFiles(new URL(`../photos/scraps-${size === phone ? 1 : 5}.jpg`, import.meta.url).pathname);
  await page.waitForFunction(() => /^#\/scraps\/\d/.test(location.hash));
  return decodeURIComponent(new URL(page.url()).hash.split('/')[2]);
};

for (const size of [phone, laptop]) {
  const page = await openPage(browser, base, size);
  const step = (name, run) => test(`${name}_on_${size.name}`, run);

  await step('a_double_tap_puts_in_once_and_takes_back_once', async () => {
    await page.place('basket');
    const before = await squares();
    await page.getByText('Add or take by hand').click();
    await twice(page, page.getByRole('button', { name: 'Put 10 in' }));
    await page.getByText('10 squares put in').first().waitFor();
    same(await squares(), before + 10, 'squares once put in');
    await page.getByRole('button', { name: 'Put 10 in' }).click(); // a second time is a second time
    await page.waitForFunction((sum) => document.querySelector('.huge').textContent.replace(/\D/g, '') === String(sum), before + 20);
    await twice(page, page.locator('.journal').getByRole('button', { name: 'Undo' }));
    await page.getByText(/^Taken back/).first().waitFor();
    same(await squares(), before + 10, 'squares once taken back');
    await send('POST', 'api/undo', {});
  });

  await step('a_double_tap_cuts_once', async () => {
    const id = await photoOf(page, size);
    await page.place('scraps', id, 'cut');
    const put = page.getByRole('button', { name: /Put \d+ in basket/ });
    await put.waitFor();
    const before = await squares();
    const n = Number(/\d+/.exec(await put.textContent())[0]);
    await twice(page, put);
    await page.waitForFunction(() => location.hash === '#/basket');
    same(await squares(), before + n, 'squares in the basket');
    await send('POST', 'api/undo', {});
  });

  await step('a_double_tap_makes_one_block', async () => {
    const before = await made('Tideline');
    await page.place('quilts', 'Tideline', 'next');
    await twice(page, page.getByRole('button', { name: 'Made it' }));
    await page.getByText(`${before + 1} of 192 blocks made`).first().waitFor();
    same(await made('Tideline'), before + 1, 'blocks');
    await page.place('quilts', 'Tideline');
    const name = await page.getByRole('gridcell', { name: /: .*not made/ }).first().getAttribute('aria-label');
    await twice(page, page.getByRole('gridcell', { name: name.split(':')[0] }).first());
    await page.getByText(`${before + 2} of 192 blocks made`).first().waitFor();
    same(await made('Tideline'), before + 2, 'blocks with the one crossed off');
  });

  await step('a_double_tap_starts_one_quilt_and_crosses_off_nothing_of_it', async () => {
    await page.place('quilts', 'start', 'lattice-chain');
    await page.getByLabel(/Its name/).fill(`Once ${size.name}`);
    await twice(page, page.getByRole('button', { name: 'Start this quilt' }));
    await page.getByText('0 of 192 blocks made').first().waitFor();
    same(await made(`Once ${size.name}`), 0, 'blocks');
    same((await ask('api/quilts')).quilts.filter(({ quilt }) => quilt.startsWith(`Once ${size.name}`)).length, 1, 'quilts');
  });

  await step('a_stepper_is_tapped_as_fast_as_she_likes', async () => {
    await page.place('basket');
    await page.getByText('Add or take by hand').click();
    await twice(page, page.getByRole('button', { name: 'More: Squares put in' }));
    await page.getByRole('button', { name: 'Put 12 in' }).waitFor();
  });

  await step('a_key_held_down_presses_once', async () => {
    const before = await squares();
    const put = page.getByRole('button', { name: 'Put 12 in' });
    await put.focus();
    for (let i = 0; i < 4; i++) await page.keyboard.down('Enter'); // the second one on says that it repeats
    await page.keyboard.up('Enter');
    await page.getByText('12 squares put in').first().waitFor();
    await page.evaluate(() => document.activeElement.blur());
    for (let i = 0; i < 4; i++) await page.keyboard.down('u');
    await page.keyboard.up('u');
    await page.getByText(/^Taken back/).first().waitFor();
    same(await squares(), before, 'squares after one Undo');
  });

  await step('nothing_was_amiss', () => same(page.faults, [], 'faults'));
  await page.close2();
}

// ---- by the keyboard alone ----------------------------------------------------------------------

for (const size of [phone, laptop]) {
  const page = await openPage(browser, base, size);
  const step = (name, run) => test(`${name}_on_${size.name}`, run);
  const button = (name) => page.getByRole('button', { name, exact: typeof name === 'string' }).first();

  /** Presses what is there by a key, and says that the focus is somewhere, in view, with its ring. */
  const key = async (target, what, pressed = 'Enter') => {
    await target.focus();
    await page.keyboard.press(pressed);
    await focused(what);
  };
  const focused = async (what) => {
    await still(page);
    await page.waitForFunction(() => document.activeElement !== document.body && document.activeElement.matches(':enabled, :not(button, input, select)'), null, { timeout: 5000 })
      .catch(() => { throw new Error(`${what}: the focus is lost`); });
    await picture(page, `hands-${what.replaceAll(' ', '-')}-${size.name}`);
    const bare = await page.evaluate(() => {
      const it = document.activeElement;
      const box = it.getBoundingClientRect();
      if (box.bottom < 0 || box.top > innerHeight) return 'out of view';
      return it.matches(':focus-visible') ? null : 'has no ring';
    });
    expect(bare === null, `${what}: what has the focus ${bare}`);
  };
  const has = (words) => page.waitForFunction((said) => (document.activeElement.getAttribute('aria-label') ?? document.activeElement.textContent).includes(said), words);

  let id;

  await step('a_sheet_gives_the_focus_back', async () => {
    id = await photoOf(page, size);
    const row = page.locator('.scrap-rows button').first();
    for (const leave of [() => page.keyboard.press('Escape'), () => key(page.getByRole('dialog').getByRole('button', { name: 'Close' }), 'closing')]) {
      await key(row, 'a scrap');
      await page.getByRole('dialog').waitFor();
      expect(await page.evaluate(() => Boolean(document.activeElement.closest('dialog'))), 'the focus is in the sheet');
      await leave();
      await focused('the way back');
      expect(await row.evaluate((it) => it === document.activeElement), 'the row has it again');
    }
  });

  await step('an_outline_is_mended_by_keys', async () => {
    await key(page.locator('.scrap-rows button').first(), 'the scrap');
    await key(page.getByRole('dialog').getByRole('link', { name: /outline/ }), 'mending');
    await key(button(/^Corner 1 of/), 'a corner moved', 'ArrowRight');
    await key(button('As it was'), 'put back');
    await key(button(/^Corner 1 of/), 'moved again', 'ArrowRight');
    await key(button('Keep this outline'), 'kept');
    await key(button(/^Corner 2 of/), 'a corner taken out', 'Delete');
    await key(button('As it was'), 'put back too');
    await key(button('Not a scrap'), 'taken away');
  });

  await step('what_is_said_is_closed_by_keys', async () => {
    await key(page.locator('.journal').getByRole('button', { name: 'Undo' }), 'undone');
    await key(page.locator('.said').getByRole('button', { name: 'Redo' }), 'done again');
    await key(page.locator('.said').getByRole('button', { name: 'Undo' }).or(page.locator('.said').getByRole('button', { name: 'Close' })).last(), 'closed');
    await send('POST', 'api/undo', {});
  });

  await step('scraps_are_cut_and_put_in_by_keys', async () => {
    await page.place('scraps', id);
    await key(page.getByRole('link', { name: 'Cut these' }), 'cutting');
    await has('Cut these');
    await key(button('Cut'), 'a cut');
    await key(button(/^All/), 'all cuts');
    await key(button(/Put \d+ in basket/), 'put in');
    await has('Basket');
    await key(page.locator('.fabrics button').first(), 'a fabric');
    await page.keyboard.press('Escape');
    await focused('the fabrics');
    await key(page.getByText('Add or take by hand'), 'by hand');
    const less = button('Less: Squares put in');
    for (let i = 0; i < 10; i++) await key(less, 'less');
    await focused('the least');
    await has('More: Squares put in');
  });

  await step('a_quilt_is_started_and_crossed_off_by_keys', async () => {
    await page.place('quilts', 'start');
    await key(page.getByRole('link', { name: /Lattice chain/ }), 'the size');
    await page.getByLabel(/Its name/).fill(`By keys ${size.name}`);
    await key(button('Start this quilt'), 'started');
    await has(`By keys ${size.name}`);
    await page.getByRole('gridcell', { name: /^Row 1, 1st/ }).focus();
    for (const one of ['ArrowDown', 'ArrowRight', 'Enter']) await page.keyboard.press(one);
    await page.getByText('1 of 192 blocks made').first().waitFor();
    await focused('crossed off');
    await has('Row 2, 2nd');
    const closer = button('Closer');
    for (let i = 0; i < 8 && await closer.isEnabled(); i++) await key(closer, 'closer');
    await focused('the closest');
  });

  await step('the_next_block_is_made_by_keys', async () => {
    await page.place('quilts', 'Tideline', 'next');
    await key(button('Made it'), 'made');
    await has('Made it');
    await key(button('Turn some over'), 'turned over');
    await has('Turn some over');
    await key(page.locator('.block button.patch:enabled').first(), 'a patch');
    await key(page.getByRole('dialog').getByRole('button').nth(1), 'locked');
    await has('stays');
  });

  await step('blocks_are_arranged_by_keys', async () => {
    await page.place('quilts', 'Tideline', 'arrange');
    const wall = page.locator('.wall canvas');
    await wall.waitFor();
    await key(page.locator('.walls [tabindex="0"]').first(), 'a block chosen');
    for (const one of ['p', 'p', 't']) {
      await page.keyboard.press(one);
      await focused(`the key ${one}`);
    }
    await key(button('Turn it'), 'turned');
    await key(page.locator('.walls [tabindex="0"]').first(), 'let go', 'Escape');
    await key(button('Find better places'), 'searching');
    await has('Stop, this is good');
    await key(button('Stop, this is good'), 'stopped');
    await page.getByText('Stopped early: the best so far.').waitFor();
    await key(button('Keep it'), 'kept so');
  });

  await step('a_quilt_is_bought_for_and_finished_by_keys', async () => {
    await page.place('quilts', `By keys ${size.name}`, 'buy');
    const box = page.getByRole('checkbox').first();
    await key(box, 'ticked off', ' ');
    expect(await box.isChecked(), 'it is ticked off');
    await page.place('quilts', `By keys ${size.name}`, 'paper');
    await key(button('It is finished'), 'finished');
    await page.keyboard.press('?');
    await page.getByRole('dialog').waitFor();
    await page.keyboard.press('Escape');
    await focused('the keys read');
  });

  await step('nothing_was_amiss_by_keys', () => same(page.faults, [], 'faults'));
  await page.close2();
}

await browser.close();
await stop();
finish();
