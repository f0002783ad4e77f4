// What the page asks for: no picture that is far from the view, and no document that is larger
// than what is shown. On the program, and on the mock server where it takes a fuller book. Prints TAP.
//
//   node tests/page/asking.mjs MOTLEY
import { drawn, expect, finish, launch, openPage, same, still, test } from './browser.mjs';
import { startMock } from './mock.mjs';
import { start } from './program.mjs';

const [program] = process.argv.slice(2);
const { address, stop } = await start(program);
const browser = await launch();
const low = { name: 'low', width: 390, height: 400, hasTouch: true }; // most of a list lies far below
const margin = 200; // CSS pixels around the view in which a picture may be asked for

/** A place whose requests are gathered, once the last of what it lists is there; `prepare` is
 *  given the page before. */
async function opened(base, parts, last, prepare = () => {}) {
  const page = await openPage(browser, `${base}/`, low);
  page.asked = [];
  await prepare(page);
  page.on('request', (one) => page.asked.push(one.url().slice(base.length)));
  await page.place(...parts);
  await page.locator(last).last().waitFor({ state: 'attached' });
  return page;
}

/** Addresses of what shows pictures: [address, whether it is in view, whether it is near]. */
const shown = (page) => page.evaluate((room) => [...document.querySelectorAll('main img, .cloth')].map((it) => {
  const { top, bottom, height } = it.getBoundingClientRect();
  const address = it.getAttribute('src') ?? /url\("(.*)"\)/.exec(it.style.backgroundImage)?.[1] ?? '';
  return [address, height > 0 && bottom > 0 && top < innerHeight, height > 0 && bottom > -room && top < innerHeight + room];
}), margin);

const isPicture = (path) => /\.(jpg|png|svg)\b/.test(path) && path.startsWith('/api/');

/** All that is in view has been asked for, and nothing that is far from it. */
async function onlyNear(page) {
  await page.waitForFunction(() => [...document.querySelectorAll('main img, .cloth')].every((it) => {
    const { top, bottom, height } = it.getBoundingClientRect();
    return height === 0 || bottom < 0 || top > innerHeight || it.getAttribute('src') || it.style.backgroundImage;
  }));
  await drawn(page);
  const near = new Set((await shown(page)).filter(([, , isNear]) => isNear).map(([path]) => path));
  same(page.asked.filter((path) => isPicture(path) && !near.has(path)), [], 'asked for out of view');
}

/** The same at the head of a list, and again at its foot, whose pictures nobody asked for before. */
async function asTheyComeNear(page, last) {
  await onlyNear(page);
  const before = page.asked.filter(isPicture).length;
  expect(before < await page.locator(last).count(), `${before} pictures at the head of the list`);
  page.asked = page.asked.filter((path) => !isPicture(path));
  await page.locator(last).last().scrollIntoViewIfNeeded();
  await onlyNear(page);
  expect(page.asked.some(isPicture), 'pictures at its foot');
  await page.close2();
}

const mocked = async (scene, run) => {
  const mock = await startMock(scene);
  try {
    await run(mock, mock.url.slice(0, -1));
  } finally {
    await mock.close();
  }
};

// ---- pictures -------------------------------------------------------------------------------

await test('photos_are_fetched_as_they_come_near', () => mocked('demo', async (mock, base) => {
  const [, one] = mock.book.photos;
  mock.book.photos = Array.from({ length: 30 }, (_, i) => ({ ...one, photo: { ...one.photo, id: `p${i}` } }));
  await asTheyComeNear(await opened(base, ['scraps'], '.piles li:nth-child(30)'), '.piles li');
}));

await test('fabrics_of_the_basket_are_fetched_as_they_come_near', () => mocked('crowded', async (_, base) => {
  // So many squares that those of the cloth above are too small for a print.
  await asTheyComeNear(await opened(base, ['basket'], '.fabrics li:nth-child(60)'), '.fabrics li');
}));

await test('a_cloth_further_down_fetches_its_fabrics_when_it_comes_near', () => mocked('demo', async (mock, base) => {
  for (const one of mock.book.fabrics) one.squares *= 2; // too small for a print by colour, not by value
  const page = await opened(base, ['basket'], '.fabrics li:nth-child(16)');
  const of = (value) => mock.book.fabrics.filter((one) => one.value === value && one.swatch).map((one) => `/api/fabrics/${one.fabric}/swatch.jpg`);
  const asked = () => page.asked.filter(isPicture);
  same(asked(), [], 'pictures for squares that are too small');
  await page.getByRole('radio', { name: 'Value', exact: true }).check();
  await page.locator('.quilt-cloth').nth(2).waitFor();
  await page.locator('.quilt-cloth').first().scrollIntoViewIfNeeded();
  await Promise.all(of('light').map((path) => page.waitForFunction((it) => performance.getEntriesByType('resource').some(({ name }) => name.endsWith(it)), path)));
  same(asked().filter((path) => of('dark').includes(path)), [], 'dark ones, two cloths further down');
  await page.locator('.quilt-cloth').nth(2).scrollIntoViewIfNeeded();
  await Promise.all(of('dark').map((path) => page.waitForFunction((it) => performance.getEntriesByType('resource').some(({ name }) => name.endsWith(it)), path)));
  await page.close2();
}));

await test('the_story_of_a_quilt_fetches_its_fabrics_as_they_come_near', async () => {
  const page = await opened(address, ['quilts', 'Low Water', 'story'], '.found li:nth-child(10)');
  expect((await page.locator('.story-map:not([src])').boundingBox()).height > 200, 'the map has its place before it comes');
  await asTheyComeNear(page, '.found li');
});

await test('a_day_fetches_its_fabrics_as_they_come_near', async () => {
  await asTheyComeNear(await opened(address, ['quilts', 'Tideline', 'day'], '.day-blocks li:nth-child(10)'), '.pulls li, .day-blocks .patch');
});

await test('another_fabric_for_a_patch_is_found_in_the_basket', async () => {
  const page = await opened(address, ['quilts', 'Tideline', 'next'], '.block .patch');
  await page.locator('.block .patch:not(.paper)').first().click();
  expect(!page.asked.some((path) => path.startsWith('/api/fabrics?')), 'nothing is asked for before it is opened');
  await page.getByText('I used another').click();
  const { fabrics } = await (await fetch(`${address}/api/basket`)).json();
  const wanted = fabrics.filter((one) => one.fabric && one.squares > 0);
  await page.locator('.another li').nth(wanted.length - 1).waitFor({ state: 'attached' });
  same(await page.locator('.another li').count(), wanted.length, 'fabrics of the basket');
  await onlyNear(page);
  const { name } = wanted.at(-1);
  await page.locator('.another input').fill(name);
  await page.waitForFunction((all) => document.querySelectorAll('.another li').length < all, wanted.length);
  await page.locator('.another li button').filter({ hasText: name }).first().click();
  await page.locator(`.block .patch[aria-label*="${name}"]`).waitFor();
  await page.close2();
});

await test('a_block_that_comes_as_a_photo_fetches_no_fabrics_before', async () => {
  let blocks = [];
  const page = await opened(address, ['quilts', 'Tideline', 'arrange'], '.wall canvas', (it) => it.route('**/wall', async (route) => {
    const wall = await (await route.fetch()).json();
    ({ blocks } = wall);
    for (const one of blocks) one.picture = true;
    await route.fulfill({ json: { ...wall, roles: {} } });
  }));
  while (page.asked.filter((path) => /^\/api\/blocks\//.test(path)).length < blocks.length) await drawn(page);
  expect(blocks.length > 0, 'blocks on the wall');
  same(page.asked.filter((path) => /swatch/.test(path)), [], 'fabrics fetched');
  await page.close2();
});

// ---- documents ------------------------------------------------------------------------------

await test('only_the_basket_asks_for_all_that_is_in_it', async () => {
  const asks = async (...parts) => {
    const page = await opened(address, parts, 'h1');
    await page.close2();
    return page.asked.includes('/api/basket');
  };
  same(await asks('basket'), true, 'the basket');
  for (const parts of [
    ['scraps'], ['scraps', 'pile'], ['quilts'], ['quilts', 'start'], ['quilts', 'start', 'lattice-chain'], ['quilts', 'start', '*draw'], ['record'], ['settings'],
    ...['', 'next', 'day', 'sew', 'foresee', 'arrange', 'buy', 'assemble', 'finish', 'story', 'paper'].map((what) => ['quilts', 'Tideline', what]),
  ]) same(await asks(...parts), false, parts.join(' '));
});

await test('what_is_folded_away_is_asked_for_when_it_is_opened', async () => {
  const page = await opened(address, ['basket'], '.weigh summary');
  await still(page);
  const asked = () => page.asked.filter((path) => /weigh|cutting/.test(path)).sort();
  same(asked(), [], 'modules and words');
  await page.locator('.weigh summary').click();
  await page.locator('.weigh form').waitFor();
  same(asked(), ['/text/en-cutting.js', '/views/weigh.js'], 'modules and words');
  await page.close2();
});

await browser.close();
await stop();
finish();
