// The wall in a real browser, with a program started for it: searching, keeping, changing by
// hand, on a phone and on a laptop.
//
// usage: node tests/page/arranging.mjs MOTLEY
import { accessible, answered, drawn, expect, finish, fits, laptop, launch, openPage, phone, picture, reachable, same, test } from './browser.mjs';
import { start } from './program.mjs';

const { address, stop } = await start(process.argv[2]);
const base = `${address}/`;
const browser = await launch();
const wallOf = async () => (await fetch(`${base}api/quilts/Tideline/wall`)).json();
const pinned = (wall) => new Set(wall.blocks.filter((it) => it.pinned).map((it) => it.block));
/** Blocks that lie somewhere and may be moved: { r, c, block, kind }. */
const lying = (wall) => wall.places.flatMap((row, r) => row.map((lay, c) => ({ r, c, block: lay.block, kind: wall.grid[r][c].kind })))
  .filter((it) => it.block && !pinned(wall).has(it.block));
const ink = (page) => page.evaluate(() => {
  const it = document.querySelector('.wall canvas');
  return it.toDataURL().length;
});

/** Where each place of the wall is on the screen while all of it is in view. */
async function onScreen(page, wall) {
  await page.locator('.wall canvas').scrollIntoViewIfNeeded();
  const box = await page.locator('.wall canvas').boundingBox();
  const [across, down] = [wall.grid[0].length, wall.grid.length];
  const scale = Math.min((box.width - 16) / across, (box.height - 16) / down);
  return ({ r, c }) => ({ x: box.x + (box.width - scale * across) / 2 + (c + 0.5) * scale, y: box.y + (box.height - scale * down) / 2 + (r + 0.5) * scale });
}

/** Fingers on the glass: fingers('touchMove', { x, y, id }...). */
async function touch(page) {
  const session = await page.context().newCDPSession(page);
  return async (type, ...touchPoints) => {
    await session.send('Input.dispatchTouchEvent', { type, touchPoints });
    await drawn(page);
  };
}

for (const size of [phone, laptop]) {
  const page = await openPage(browser, base, size);

  await test(`a maker finds a better arrangement on a ${size.name} and keeps it`, async () => {
    const before = await wallOf();
    await page.place('quilts', 'Tideline', 'arrange');
    await page.locator('.wall canvas').waitFor();
    expect(await ink(page) > 5000, 'nothing is painted');
    await picture(page, `arrange-${size.name}`);
    await page.getByText('What matters to you').click();
    await page.getByLabel('2 s', { exact: true }).check();
    await page.getByText('What matters to you').click();
    await page.getByRole('button', { name: 'Find better places' }).click();
    // On the one it runs to its end, on the other it is stopped as soon as it has begun.
    const stopped = size === laptop;
    if (stopped) await page.getByRole('button', { name: 'Stop, this is good' }).click();
    await page.getByRole('button', { name: 'Keep it' }).waitFor();
    same((await wallOf()).places, before.places, 'nothing moves before it is kept');
    await picture(page, `arrange-found-${size.name}`);
    await page.getByRole('button', { name: 'Side by side' }).click();
    same(await page.locator('.wall canvas').count(), 2, 'walls side by side');
    await fits(page, 'side by side');
    await picture(page, `arrange-compared-${size.name}`);
    await page.getByRole('button', { name: 'One alone' }).click();
    await page.getByRole('button', { name: 'See why' }).click();
    await page.getByRole('heading', { name: 'The quilt in large patches' }).waitFor();
    await accessible(page, 'see why');
    await picture(page, `arrange-why-${size.name}`);
    await page.getByRole('button', { name: 'Close', exact: true }).click();
    await accessible(page, 'arrange');
    await reachable(page, 'arrange');
    await fits(page, 'arrange');
    await page.getByRole('button', { name: 'Keep it' }).click();
    await page.getByText('The blocks lie so now').waitFor();
    expect(stopped || JSON.stringify((await wallOf()).places) !== JSON.stringify(before.places), 'the blocks did not move');
  });

  await test(`keys change two blocks with each other on a ${size.name}, and pin one`, async () => {
    await page.place('quilts', 'Tideline', 'arrange');
    const before = await wallOf();
    // Two blocks of one kind in the first rows.
    const made = lying(before);
    const one = made[0];
    const other = made.find((it) => it.kind === one.kind && it !== one);
    await page.locator('.wall canvas').focus();
    const walk = async (from, to) => {
      for (let i = 0; i < Math.abs(to.r - from.r); i++) await page.keyboard.press(to.r > from.r ? 'ArrowDown' : 'ArrowUp');
      for (let i = 0; i < Math.abs(to.c - from.c); i++) await page.keyboard.press(to.c > from.c ? 'ArrowRight' : 'ArrowLeft');
    };
    await walk({ r: 0, c: 0 }, one);
    await page.keyboard.press('Enter');
    await walk(one, other);
    await page.keyboard.press('Enter');
    await page.getByText(/^Exchanged row/).waitFor();
    const after = await wallOf();
    same(after.places[one.r][one.c].block, other.block, 'the first place');
    same(after.places[other.r][other.c].block, one.block, 'the second place');
    await page.keyboard.press('Enter');
    await page.keyboard.press('p');
    await page.getByText(/^Pinned row/).waitFor();
    expect((await wallOf()).blocks.find((it) => it.block === one.block).pinned, 'it is not pinned');
  });

  await test(`a tap and another tap change two blocks on a ${size.name}`, async () => {
    await page.place('quilts', 'Tideline', 'chart');
    await page.place('quilts', 'Tideline', 'arrange');
    const canvas = page.locator('.wall canvas');
    const before = await wallOf();
    const box = await canvas.boundingBox();
    const [across, down] = [before.grid[0].length, before.grid.length];
    const scale = Math.min((box.width - 16) / across, (box.height - 16) / down);
    const at = ({ r, c }) => ({ x: (box.width - scale * across) / 2 + (c + 0.5) * scale, y: (box.height - scale * down) / 2 + (r + 0.5) * scale });
    const made = lying(before);
    const one = made[0];
    const other = made.find((it) => it.kind === one.kind && it !== one);
    await canvas.click({ position: at(one) });
    await page.getByText('Tap another place to change with it').waitFor();
    // What the page says of it may be left from the two before.
    await answered(page, '/swap', () => canvas.click({ position: at(other) }));
    same((await wallOf()).places[one.r][one.c].block, other.block, 'the first place');
  });

  await test(`a drag of the chosen block changes it with another on a ${size.name}`, async () => {
    await page.place('quilts', 'Tideline', 'chart');
    await page.place('quilts', 'Tideline', 'arrange');
    const before = await wallOf();
    const at = await onScreen(page, before);
    const made = lying(before);
    const one = made[1];
    const other = made.find((it) => it.kind === one.kind && it.r !== one.r && it.c !== one.c);
    const [from, to] = [at(one), at(other)];
    const fingers = await touch(page);
    if (size.hasTouch) await page.touchscreen.tap(from.x, from.y);
    else await page.mouse.click(from.x, from.y);
    await page.getByText('Tap another place to change with it').waitFor();
    const halfway = { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
    if (size.hasTouch) {
      await fingers('touchStart', from);
      for (const point of [halfway, to]) await fingers('touchMove', point);
    } else {
      await page.mouse.move(from.x, from.y);
      await page.mouse.down();
      for (const point of [halfway, to]) await page.mouse.move(point.x, point.y, { steps: 4 });
    }
    await drawn(page);
    await picture(page, `arrange-drag-${size.name}`);
    same((await wallOf()).places, before.places, 'nothing moves before it is let go');
    await answered(page, '/swap', () => (size.hasTouch ? fingers('touchEnd') : page.mouse.up()));
    const after = await wallOf();
    same([after.places[one.r][one.c].block, after.places[other.r][other.c].block], [other.block, one.block], 'the two places');
  });

  if (size.hasTouch) {
    await test('two fingers bring the wall closer around what lies between them', async () => {
      await page.place('quilts', 'Tideline', 'chart');
      await page.place('quilts', 'Tideline', 'arrange');
      const wall = await wallOf();
      const at = await onScreen(page, wall);
      const one = lying(wall).find((it) => it.r > 1 && it.c > 2);
      const { x, y } = at(one);
      const fingers = await touch(page);
      const pair = (apart) => [{ x: x - apart, y, id: 1 }, { x: x + apart, y, id: 2 }];
      const whole = page.getByRole('button', { name: 'The whole' });
      expect(await whole.isDisabled(), 'all of it is in view at first');
      await fingers('touchStart', pair(20)[0]);
      await fingers('touchStart', ...pair(20));
      for (const apart of [25, 32, 42, 52, 60]) await fingers('touchMove', ...pair(apart));
      // One finger goes first, and the other moves a little: what is in view must not leap.
      for (const by of [0, 9]) await fingers('touchMove', { ...pair(60)[0], y: y + by });
      await fingers('touchEnd');
      await whole.and(page.locator(':enabled')).waitFor(); // the wall came closer
      same((await wallOf()).places, wall.places, 'nothing is moved by it');
      await picture(page, 'arrange-pinched-phone');
      // Three times as large: a whole place away from the middle is still the same block.
      const scale = at({ r: 0, c: 1 }).x - at({ r: 0, c: 0 }).x;
      await page.touchscreen.tap(x + scale, y + 9);
      await page.locator('.chosen').getByText(new RegExp(`^Row ${one.r + 1}\\D+${one.c + 1}\\D`)).waitFor();
      // What can be done with it is in the thumb's place: seen, and under nothing.
      for (const words of ['Turn it', 'Pin it here']) {
        const seen = await page.getByRole('button', { name: words }).evaluate((it) => {
          const box = it.getBoundingClientRect();
          return it.contains(document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2));
        });
        expect(seen, `${words} can be tapped as soon as a block is chosen`);
      }
      await whole.click();
    });
  }

  await test(`what is locked on a ${size.name} stays when some are turned over`, async () => {
    await page.place('quilts', 'Tideline', 'next');
    const patches = page.locator('.block .patch:not(.paper)');
    await patches.first().waitFor();
    const names = () => patches.evaluateAll((all) => all.map((it) => it.getAttribute('aria-label').replace(/, stays$/, '')));
    await patches.first().click();
    await page.locator('.sheet .fabric-row').nth(2).click(); // one of the alternatives: used and locked
    same(await page.locator('.patch.locked').count(), 1, 'locked patches');
    const before = await names();
    await picture(page, `next-${size.name}`);
    await page.getByRole('button', { name: 'Turn some over' }).click();
    await page.waitForFunction((was) => [...document.querySelectorAll('.block .patch:not(.paper)')].some((it, i) => it.getAttribute('aria-label').replace(/, stays$/, '') !== was[i]), before);
    const after = await names();
    same(after[0], before[0], 'the locked patch');
    expect(after.filter((it, i) => it !== before[i]).length <= 3, `more than three were turned over: ${after}`);
    await accessible(page, 'next');
  });

  await test(`nothing was amiss on a ${size.name}`, async () => same(page.faults, [], 'faults'));
  await page.close2();
}

await test('a block pinned in a proposal stays while the search goes on, and two proposals lie side by side', async () => {
  const page = await openPage(browser, base, laptop);
  await page.place('quilts', 'Tideline', 'arrange');
  await page.getByText('What matters to you').click();
  await page.getByLabel('2 s', { exact: true }).check();
  await page.getByRole('button', { name: 'Find better places' }).click();
  const again = page.getByRole('button', { name: 'Again from here' });
  await again.waitFor();
  const wall = page.locator('.wall canvas').first();
  await wall.focus();
  for (const key of ['Enter', 'p']) await page.keyboard.press(key);
  const chosen = page.locator('.row.chosen');
  await page.getByRole('button', { name: 'Take the pin off' }).waitFor();
  const held = /block \d+/.exec(await chosen.textContent())[0];
  const sent = page.waitForRequest((one) => one.method() === 'POST' && one.url().endsWith('/arrange'));
  await again.click();
  same((await sent).postDataJSON().pin, [`1,1=${held.replace('block ', '')}`], 'the pin that is sent');
  await page.getByText('Proposal 2').waitFor();
  await wall.focus();
  await page.keyboard.press('Enter');
  expect((await chosen.textContent()).includes(`${held}, pinned`), `${held} lies where it was: ${await chosen.textContent()}`);
  await page.getByRole('button', { name: 'Side by side' }).click();
  await page.locator('input[name="beside"][value="0"]').check();
  same(await page.locator('.two-walls figcaption').allTextContents(), ['Proposal 1', 'Proposal 2'], 'walls side by side');
  await accessible(page, 'two proposals');
  same(page.faults, [], 'faults');
  await page.close2();
});

await browser.close();
await stop();
finish();
