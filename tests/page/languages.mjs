// The page in German, against the mock server: every view in words of its own, as wide as the
// screen, and nothing of it fetched by a page that speaks English. Prints TAP.
import { accessible, expect, finish, fits, laptop, launch, openPage, phone, picture, same, still, test } from './browser.mjs';
import { startMock } from './mock.mjs';

const browser = await launch();
const views = [
  ['scraps'], ['scraps', 'p1'], ['scraps', 'p1', 'cut'], ['scraps', 'p1', 'mend', 's5-3'], ['basket'], ['quilts'], ['quilts', 'start'],
  ['quilts', 'start', 'lattice-chain'], ['quilts', 'Tideline'], ['quilts', 'Tideline', 'next'], ['quilts', 'Tideline', 'buy'],
  ['quilts', 'Tideline', 'paper'], ['record'], ['settings'],
];

for (const size of [phone, laptop]) {
  await test(`the_page_turns_to_german_when_the_book_does_on_${size.name}`, async () => {
    const mock = await startMock('demo');
    const page = await openPage(browser, mock.url, size);
    const asked = [];
    page.on('request', (request) => asked.push(new URL(request.url()).pathname));
    await page.place('scraps');
    await page.place('settings');
    same(asked.filter((path) => path.startsWith('/text/de')), [], 'German fetched by an English page');
    await page.getByRole('radio', { name: 'Deutsch' }).check();
    await page.getByRole('heading', { level: 1, name: 'Einstellungen' }).waitFor();
    same(await page.evaluate(() => document.documentElement.lang), 'de', 'language of the page');
    for (const parts of views) {
      await page.place(...parts);
      await still(page);
      if (size === phone) await accessible(page, parts.join('/'));
      await fits(page, parts.join('/'));
      await picture(page, `german-${parts.join('-')}-${size.name}`);
    }
    await page.place('quilts', 'start');
    await page.getByText('Eine umgekehrte irische Kette').waitFor();
    await page.place('settings');
    // What could be undone is told in German in its own place too.
    await page.route('**/api/book', async (route) => {
      const book = await (await route.fetch()).json();
      await route.fulfill({ json: { ...book, undo: { ...book.undo, what: 'Kept 16 scraps of table.jpg' } } });
    });
    mock.book.settings.seam = '7.5 mm';
    await page.reload();
    await page.waitForFunction(() => document.querySelector('#set-seam')?.value === '7,5 mm');
    await page.locator('main').getByText('Zurückgenommen würde: 16 Reste behalten (table.jpg)').waitFor();
    await page.unroute('**/api/book');
    // What goes wrong is told in German too, above the program's own words.
    page.expected = /status of 400/;
    await page.getByRole('textbox').first().fill('2 1/0 in');
    await page.keyboard.press('Tab');
    await page.getByText('Eine Länge über null und unter 1 km angeben.').waitFor();
    await page.getByText('length.range').waitFor();
    await picture(page, `german-fault-${size.name}`);
    await page.reload();
    await page.getByRole('heading', { level: 1, name: 'Einstellungen' }).waitFor();
    // Other devices turn with the book.
    await page.getByRole('radio', { name: 'English' }).check();
    await page.getByRole('heading', { level: 1, name: 'Settings' }).waitFor();
    same(page.faults, [], 'faults');
    await page.close2();
    await mock.close();
  });
}

await test('nothing_sticks_out_of_a_german_page_at_four_hundred_per_cent', async () => {
  const mock = await startMock('demo');
  mock.book.settings.language = 'de';
  const page = await openPage(browser, mock.url, { name: 'narrow', width: 320, height: 640, hasTouch: false });
  for (const parts of views) {
    await page.place(...parts);
    await still(page);
    await fits(page, parts.join('/'));
  }
  expect(await page.getByText('Einstellungen').count() > 0, 'it is German');
  // Long words keep out of each other's way at the top, and all of the bar stays in view.
  const over = await page.locator('.mark, .top .notice, .journal button, .places a').evaluateAll((all) => {
    const boxes = all.map((it) => [it.textContent, it.getBoundingClientRect()]).filter(([, box]) => box.width > 0);
    const meets = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
    return [
      ...boxes.flatMap(([one, a], i) => boxes.slice(i + 1).filter(([, b]) => meets(a, b)).map(([other]) => `${one} and ${other}`)),
      ...all.filter((it) => it.scrollWidth > it.clientWidth + 1 || it.getBoundingClientRect().right > innerWidth + 1).map((it) => `${it.textContent} is cut off`),
    ];
  });
  same(over, [], 'words that lie over each other');
  await page.close2();
  await mock.close();
});

await browser.close();
finish();
