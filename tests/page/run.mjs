// The page against the mock server, in Debian's Chromium: every view at two sizes, light
// and dark, and each thing that a maker does there. Prints TAP.
//
//   node tests/page/run.mjs            MOTLEY_SHOTS=FOLDER keeps a picture of each view
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { posix } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { accessible, answered, drawn, expect, finish, fits, inNetwork, journeySizes, laptop, launch, noSlip, openPage, phone, picture, reachable, same, still, tablet, test } from './browser.mjs';
import { startMock } from './mock.mjs';
import { files, manifest, sha256, vendored } from './vendor.mjs';

const ui = fileURLToPath(new URL('../../ui/', import.meta.url));
const sources = readdirSync(ui, { recursive: true }).filter((name) => name.endsWith('.js'));
const own = sources.filter((name) => !name.startsWith('vendor/'));
const read = (name) => readFileSync(ui + name, 'utf8');

// ---- the files themselves -----------------------------------------------------------------

await test('the_vendored_files_are_those_of_the_manifest', () => {
  const { files: rows } = manifest();
  same(readdirSync(`${ui}vendor`).sort(), [...files.map((row) => row.file), 'LICENCES.txt', 'manifest.json'].sort(), 'files in ui/vendor');
  for (const row of rows) {
    same(sha256(read(`vendor/${row.file}`)), row.sha256, row.file);
    same(sha256(vendored(row)), row.sha256, `${row.file} from the package`);
    expect(row.licence && row.version, `${row.file} names its licence and version`);
  }
});

/** A module and all that it imports at its head, and so on; what import() fetches comes when it
 *  is first wanted. */
const closure = (first) => {
  const found = [first];
  for (const name of found)
    for (const [, path] of read(name).matchAll(/^(?:import|export)\b[^;]*?['"](\.{1,2}\/[^'"]+)['"]/gm)) {
      const next = posix.join(posix.dirname(name), path);
      if (!found.includes(next)) found.push(next);
    }
  return found;
};
const atOnce = closure('main.js'); // what the page starts with

/** What ui/first.js asks for beside that, by place. It is of a browser: here it finds nothing to ask. */
async function begins() {
  const { fetch } = globalThis;
  Object.assign(globalThis, { location: { hash: '' }, document: { createElement: () => ({}), head: { append: () => {} } }, fetch: async () => {} });
  const { begins: all } = await import('../../ui/first.js');
  for (const name of ['location', 'document']) delete globalThis[name];
  globalThis.fetch = fetch;
  return Object.entries(all);
}

await test('the_script_that_the_page_starts_with_is_under_60_kB_compressed', async () => {
  for (const [place, { modules, words, further = [] }] of await begins()) {
    const names = [...atOnce, ...modules, ...further, ...words.map((area) => `text/en-${area}.js`)];
    const bytes = names.reduce((sum, name) => sum + gzipSync(read(name), { level: 9 }).length, 0);
    console.log(`# script with ${place}: ${bytes} bytes compressed`);
    expect(bytes < 60000, `${place}: ${bytes} bytes`);
  }
});

await test('every_module_is_asked_for_at_once', async () => {
  const asked = [...read('index.html').matchAll(/(?:modulepreload" href|script type="module" src)="([^"]+)"/g)].map(([, name]) => name);
  same(asked.sort(), [...atOnce].sort(), 'modules in index.html');
  for (const [place, { modules, words, further }] of await begins()) {
    const [, name, area] = new RegExp(`^const \\w+ = later\\(\\(\\) => import\\('./(views/${place}.js)'\\)[^;]*?\\)(?:, '(\\w+)')?\\);`, 'm').exec(read('main.js')) ?? [];
    same([...modules].sort(), name ? closure(name).filter((one) => !atOnce.includes(one)).sort() : [], `modules that ${place} begins with`);
    same(words, area ? [area] : [], `words that ${place} begins with`);
    if (further) {
      const [within] = further;
      expect(read(name).includes(`import('./${posix.basename(within)}')`), `${place} leads to ${within}`);
      same([...further].sort(), closure(within).filter((one) => ![...atOnce, ...modules].includes(one)).sort(), `modules further in than ${place}`);
    }
  }
});

await test('no_line_of_the_page_makes_nodes_from_text', () => {
  for (const name of own) {
    expect(!/innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function|dangerouslySet| style="/.test(read(name)), name);
  }
});

// ---- the views -----------------------------------------------------------------------------

const views = [
  ['scraps', ['scraps']], ['photo', ['scraps', 'p1']], ['cut', ['scraps', 'p1', 'cut']], ['mend', ['scraps', 'p1', 'mend', 's5-3']], ['basket', ['basket']],
  ['quilts', ['quilts']], ['start', ['quilts', 'start']], ['start-size', ['quilts', 'start', 'lattice-chain']], ['draw', ['quilts', 'start', '*draw']],
  ['chart', ['quilts', 'Tideline']], ['next', ['quilts', 'Tideline', 'next']], ['buy', ['quilts', 'Tideline', 'buy']],
  ['paper', ['quilts', 'Tideline', 'paper']], ['record', ['record']], ['settings', ['settings']],
];

const browser = await launch();
const mocks = {};
for (const scene of ['demo', 'empty', 'crowded', 'trouble']) mocks[scene] = await startMock(scene);

for (const size of [phone, tablet, laptop]) {
  for (const dark of [false, true]) {
    const how = `${size.name}${dark ? '_dark' : ''}`;
    // The tablet, in dark, is one in the network.
    const page = await openPage(browser, size === tablet && dark ? inNetwork(mocks.demo.url) : mocks.demo.url, size, { dark });
    page.expected = /Cross-Origin-Opener-Policy/; // plain HTTP gets no such policy
    for (const [name, parts] of views) {
      await test(`${name}_is_accessible_and_in_reach_on_${how}`, async () => {
        await page.place(...parts);
        await still(page);
        if (size === phone || (size === laptop && !dark)) await accessible(page, name, { contrast: dark });
        if (!dark) await reachable(page, name);
        await fits(page, name);
        await picture(page, `${name}-${how}`);
      });
    }
    await test(`no_policy_is_broken_and_nothing_leaves_the_server_on_${how}`, () => same(page.faults, [], 'faults'));
    await page.close2();
  }
}

for (const [scene, places] of [
  ['empty', [['scraps'], ['basket'], ['quilts'], ['record'], ['settings']]],
  ['crowded', [['scraps'], ['scraps', 'p1'], ['scraps', 'p1', 'cut'], ['basket'], ['quilts'], ['quilts', mocks.crowded.book.quilts[1].quilt]]],
  ['trouble', [['scraps'], ['basket'], ['quilts'], ['quilts', 'Tideline'], ['record']]],
]) {
  for (const size of [phone, laptop]) {
    const page = await openPage(browser, mocks[scene].url, size);
    page.expected = /status of 500/;
    for (const parts of places) {
      const name = parts.slice(0, 2).map((part) => part.slice(0, 12)).join('_').replace(/\W/g, '_') + (parts[2] ?? '');
      await test(`${name}_of_the_${scene}_book_holds_on_${size.name}`, async () => {
        await page.place(...parts);
        await still(page);
        if (size === phone) await accessible(page, name);
        await reachable(page, name);
        await fits(page, name);
        if (scene === 'trouble') expect(await page.getByText('store.locked').count() > 0, 'says the code');
        await picture(page, `${scene}-${name}-${size.name}`);
      });
    }
    await test(`the_${scene}_book_breaks_no_policy_on_${size.name}`, () => same(page.faults, [], 'faults'));
    await page.close2();
  }
}

await test('at_four_hundred_per_cent_nothing_sticks_out', async () => {
  const page = await openPage(browser, mocks.demo.url, { name: 'narrow', width: 320, height: 640, hasTouch: false });
  for (const [name, parts] of views) {
    await page.place(...parts);
    await still(page);
    await fits(page, name);
  }
  await page.close2();
});

await test('at_four_hundred_per_cent_bars_leave_most_of_the_height', async () => {
  // A window of 1280 x 1024.
  const page = await openPage(browser, mocks.demo.url, { name: 'low', width: 320, height: 256, hasTouch: false });
  for (const [name, parts] of views) {
    await page.place(...parts);
    await page.evaluate(() => scrollTo(0, 260));
    const covered = await page.evaluate(() => Array.from({ length: 32 }, (_, i) => document.elementFromPoint(160, 8 * i + 4)).filter((it) => {
      for (let one = it; one; one = one.parentElement) if (['fixed', 'sticky'].includes(getComputedStyle(one).position)) return true;
      return false;
    }).length / 32);
    expect(covered < 0.34, `${name}: bars cover ${Math.round(100 * covered)} % of the height`);
  }
  await page.close2();
});

await test('on_a_small_laptop_nothing_sticks_out_and_the_photo_has_room', async () => {
  const page = await openPage(browser, mocks.demo.url, { name: 'small', width: 1024, height: 768, hasTouch: false });
  for (const [name, parts] of views) {
    await page.place(...parts);
    await page.waitForTimeout(100);
    await fits(page, name);
  }
  await page.place('scraps', 'p1');
  const { width } = await page.locator('.photo .plan').boundingBox();
  expect(width > 400, `the photo is ${width} px wide`);
  await page.close2();
});

await test('with_text_twice_as_large_nothing_sticks_out', async () => {
  for (const size of [phone, laptop]) {
    const page = await openPage(browser, mocks.demo.url, size);
    for (const [name, parts] of views) {
      await page.place(...parts);
      await page.evaluate(() => { document.documentElement.style.fontSize = '200%'; });
      await still(page);
      await fits(page, `${name} on ${size.name}`);
      const cut = await page.locator('.places a').evaluateAll((all) => all.filter((it) => it.getBoundingClientRect().right > innerWidth + 1 || it.scrollWidth > it.clientWidth + 1).map((it) => it.textContent));
      same(cut, [], `places that are cut off on ${size.name}`);
      const cramped = await page.locator('main .grow').evaluateAll((all) => all.filter((it) => it.textContent.length > 4 && it.clientWidth > 0 && it.clientWidth < 3 * parseFloat(getComputedStyle(it).fontSize)).map((it) => it.textContent));
      same(cramped, [], `words of ${name} that stand letter under letter on ${size.name}`);
      await picture(page, `large-${name}-${size.name}`);
    }
    await page.close2();
  }
});

// ---- what she does there ----------------------------------------------------------------------

let journeys = 0;

/** Runs one journey on its own book, by turns on a phone and on a laptop where no sizes are
 *  named; whatever the browser complains of fails it. */
async function journey(name, run, { scene = 'demo', sizes, network = false, expected } = {}) {
  for (const size of sizes ?? journeySizes(journeys++ % 2 ? laptop : phone)) {
    await test(`${name}_on_${size.name}`, async () => {
      const mock = await startMock(scene);
      const page = await openPage(browser, network ? inNetwork(mock.url) : mock.url, size);
      if (expected) page.expected = expected;
      try {
        await run(page, mock);
        same(page.faults, [], 'faults');
      } finally {
        await page.close2();
        await mock.close();
      }
    });
  }
}

const photoFile = (name, bytes = 2000) => ({ name, mimeType: 'image/jpeg', buffer: Buffer.alloc(bytes, 1) });
const press = (page, words) => page.getByRole('button', { name: words, exact: true }).first().click();
const choose = (page, words) => page.getByRole('radio', { name: words, exact: true }).check();
const shows = (page, words) => page.getByText(words).filter({ visible: true }).first().waitFor();

await journey('what_the_first_photo_is_doing_is_seen_without_scrolling', async (page) => {
  await page.place('scraps');
  await page.locator('input[type=file]').first().setInputFiles(photoFile('new.jpg'));
  const line = page.getByRole('progressbar', { name: 'Measuring new.jpg' });
  await line.waitFor();
  const [doing, bar] = [await page.locator('.uploads .doing').boundingBox(), await page.locator('.places').boundingBox()];
  expect(doing.y + doing.height <= bar.y, `what it is doing ends at ${doing.y + doing.height}, the bar of places begins at ${bar.y}`);
}, { scene: 'empty', sizes: [phone] });

await journey('an_empty_basket_takes_a_photo_with_one_tap', async (page) => {
  await page.place('basket');
  const chooser = page.waitForEvent('filechooser');
  await page.locator('main').getByText('Take a photo').click();
  await (await chooser).setFiles(photoFile('first.jpg'));
  await page.getByRole('progressbar', { name: 'Measuring first.jpg' }).waitFor();
  await page.getByRole('heading', { level: 1, name: 'Scraps' }).waitFor();
}, { scene: 'empty', sizes: [phone] });

await journey('each_scrap_of_a_photo_has_its_number_in_its_row', async (page) => {
  await page.place('scraps', 'p1');
  const out = await page.locator('.scrap-rows button').evaluateAll((rows) => rows.map((row) => [row, row.querySelector('.number')]).filter(([row, number]) => {
    const [around, box] = [row, number].map((it) => it.getBoundingClientRect());
    return !(box.width > 0 && box.left >= around.left && box.right <= around.right && box.top >= around.top && box.bottom <= around.bottom);
  }).map(([row]) => row.textContent));
  same(out, [], 'rows without their number');
}, { sizes: [phone, laptop] });

await journey('a_photo_comes_in_with_words_and_opens_with_its_outlines', async (page) => {
  await page.place('scraps');
  await page.locator('input[type=file]').first().setInputFiles(photoFile('new.jpg'));
  await page.getByRole('progressbar', { name: 'Measuring new.jpg' }).waitFor();
  await page.waitForFunction(() => location.hash === '#/scraps/p3');
  await page.locator('.plan .piece').nth(5).waitFor();
  same(await page.locator('.plan .piece').count(), 6, 'pieces over the picture');
  await shows(page, 'Found 6 scraps');
});

await journey('a_photo_on_its_way_can_be_stopped', async (page, mock) => {
  await page.place('scraps');
  await page.locator('input[type=file]').first().setInputFiles(photoFile('slow.jpg'));
  await page.getByRole('progressbar', { name: 'Measuring slow.jpg' }).waitFor();
  await shows(page, 'Looking for the card');
  const stopped = page.waitForResponse((one) => one.request().method() === 'DELETE');
  await press(page, 'Stop');
  await shows(page, 'Stopped. Nothing was kept.');
  await stopped;
  same(mock.book.photos.length, 2, 'photos in the book');
});

await journey('a_photo_waits_for_the_network_and_is_sent_again_by_a_tap', async (page, mock) => {
  await page.place('scraps');
  await page.context().setOffline(true);
  await page.locator('input[type=file]').first().setInputFiles(photoFile('far.jpg'));
  await page.locator('.uploads').getByText('page.offline').waitFor();
  await page.context().setOffline(false);
  await page.locator('.uploads').getByRole('button', { name: 'Try again' }).click();
  await page.waitForFunction(() => location.hash === '#/scraps/p3');
  same(mock.book.photos.length, 3, 'photos in the book');
}, { expected: /ERR_INTERNET_DISCONNECTED/, sizes: [phone] });

const folder = mkdtempSync(posix.join(tmpdir(), 'motley-run-'));
const huge = posix.join(folder, 'huge.jpg'); // no picture, and too large to be sent
writeFileSync(huge, Buffer.alloc(33 * 1024 * 1024, 1));
await journey('a_bad_photo_is_told_about_beside_its_name', async (page) => {
  await page.place('scraps');
  const file = page.locator('input[type=file]').first();
  for (const [bad, code] of [
    [photoFile('nocard.jpg'), 'photo.no-card'],
    [{ ...photoFile('IMG.HEIC'), mimeType: 'image/heic' }, 'page.heic'],
    // The same under a name that says nothing of it: a file type box (ISO 14496-12) of that brand.
    [{ name: 'shared.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('\0\0\0\x18ftypheic\0\0\0\0mif1heic', 'latin1') }, 'page.heic'],
    [photoFile('nothing.jpg', 0), 'page.photo-empty'],
    [{ name: 'huge.jpg', path: huge }, 'page.photo-large'],
  ]) {
    await file.setInputFiles(bad.path ?? bad);
    await shows(page, code);
    await shows(page, bad.name);
    await press(page, 'All right');
  }
});

await journey('forty_photos_at_once_wait_in_line_and_all_come_in', async (page, mock) => {
  await page.place('scraps');
  await page.locator('input[type=file]').first().setInputFiles(Array.from({ length: 40 }, (_, i) => photoFile(`many-${i + 1}.jpg`, 200)));
  await shows(page, 'Waiting for its turn');
  same(await page.locator('.uploads li').count() > 30, true, 'photos in line');
  await page.locator('.uploads li').last().getByRole('button', { name: 'Stop' }).click();
  await page.waitForFunction(() => !document.querySelector('.uploads li'), null, { timeout: 60000 });
  same(mock.book.photos.length, 2 + 39, 'photos in the book');
  await page.place('scraps');
  same(await page.locator('.piles li').count(), 30, 'photos listed');
  await press(page, 'Earlier photos');
  await page.waitForFunction(() => document.querySelectorAll('.piles li').length === 41);
}, { sizes: [laptop] });

await journey('months_are_drawn_where_they_come_into_view_and_each_year_is_named', async (page) => {
  await page.place('record');
  const months = page.locator('.months text:not(.year)');
  await page.locator('.months text', { hasText: '2026' }).waitFor();
  expect(await months.count() < 70, `${await months.count()} of 119 months are drawn`);
  same(await page.locator('.months text', { hasText: '2017' }).count(), 0, 'the first year, far out of view');
  await page.locator('.months .scroll').evaluate((it) => { it.scrollLeft = 0; });
  await page.locator('.months text', { hasText: '2017' }).waitFor();
  same(await months.first().textContent(), 'Jan', 'the first month');
  await page.locator('.months .scroll').evaluate((it) => { it.scrollLeft = 36 * 44 - it.clientWidth / 2; });
  await page.locator('.months text', { hasText: '2020' }).waitFor(); // its January has no column
}, { scene: 'crowded', sizes: [phone, laptop] });

await journey('a_double_tap_puts_in_once', async (page) => {
  await page.place('basket');
  await page.getByText('Add or take by hand').click();
  await page.getByRole('button', { name: 'Put 10 in' }).dblclick();
  await page.waitForFunction(() => document.querySelector('.huge').textContent !== '413');
  await still(page);
  same(await page.locator('.huge').textContent(), '423', 'basket');
}, { sizes: [phone] });

await journey('the_pieces_of_a_photo_are_one_stop_and_arrows_walk_between_them', async (page) => {
  await page.place('scraps', 'p1');
  await page.locator('.plan .piece').nth(5).waitFor();
  same(await page.locator('.plan .piece[tabindex="0"]').count(), 1, 'stops among the pieces');
  await page.locator('.plan .piece[tabindex="0"]').focus();
  const middle = () => page.evaluate(() => {
    const tag = document.activeElement.querySelector('.tag');
    return [Number(tag.getAttribute('cx')), Number(tag.getAttribute('cy'))];
  });
  const from = await middle();
  await page.keyboard.press('ArrowRight');
  const right = await middle();
  expect(right[0] > from[0], `from ${from} to the right: ${right}`);
  await page.keyboard.press('ArrowLeft');
  expect((await middle())[0] < right[0], 'and back to the left');
  await page.keyboard.press('ArrowDown');
  expect((await middle())[1] > from[1], 'down');
  await page.keyboard.press('Enter');
  await page.getByRole('dialog').waitFor();
}, { sizes: [laptop] });

await journey('a_name_of_one_long_word_stays_in_the_page', async (page) => {
  await page.place('quilts', 'Donaudampfschifffahrtsgesellschaftskapitänsmützenbordüre');
  await page.locator('.trouble').waitFor();
  await fits(page, 'the quilt');
}, { sizes: [phone], expected: /status of 404/ });

await journey('a_scrap_that_is_mended_lies_as_it_lay_when_the_screen_is_turned_and_back', async (page) => {
  await page.place('scraps', 'p1', 'mend', 's5-3');
  await page.locator('.handle').first().waitFor();
  const lies = () => page.locator('.mend-zoom').evaluate((it) => [it.scrollLeft, it.scrollTop, it.scrollWidth, it.scrollHeight].map(Math.round));
  await page.waitForTimeout(300);
  const before = await lies();
  for (const [width, height] of [[900, 1440], [1440, 900]]) {
    await page.setViewportSize({ width, height });
    await page.waitForTimeout(300);
  }
  same(await lies(), before, 'where it lies');
}, { sizes: [laptop] });

await journey('what_was_done_is_not_said_over_the_next_view', async (page) => {
  await page.place('basket');
  await page.getByText('Add or take by hand').click();
  await press(page, 'Put 10 in');
  await page.locator('.said').waitFor();
  await page.getByRole('link', { name: 'Quilts', exact: true }).click();
  await page.getByRole('heading', { level: 1, name: 'Quilts' }).waitFor();
  same(await page.locator('.said').count(), 0, 'what is said');
  await page.locator('.journal').getByRole('button', { name: 'Undo' }).click();
  await page.locator('.said').waitFor();
}, { sizes: [phone] });

await journey('a_quilt_on_point_is_hit_where_its_diamonds_are', async (page, mock) => {
  const quilt = mock.book.quilts[0];
  quilt.set = 'on-point';
  quilt.places.forEach((row, r) => { if (r % 2) row.pop(); });
  await page.place('quilts', 'Tideline');
  const box = await page.getByRole('gridcell', { name: /^Row 9, 2nd/ }).boundingBox();
  // The middle of the diamond below the corner that two diamonds of one row share.
  await page.mouse.click(box.x + box.width, box.y + box.height);
  await page.getByRole('gridcell', { name: /^Row 10, 2nd: .*, made/ }).waitFor();
  await accessible(page, 'on point');
  await picture(page, 'on-point-laptop');
}, { sizes: [laptop] });

await journey('the_source_is_asked_once_and_remembered', async (page, mock) => {
  await page.place('scraps');
  await choose(page, 'Kite Day');
  await page.reload();
  await page.locator('input[type=file]').first().setInputFiles(photoFile('new.jpg'));
  await page.waitForFunction(() => location.hash === '#/scraps/p3');
  same(mock.book.photos[0].photo.source, 'Kite Day', 'source');
});

await journey('a_scrap_opens_on_a_tap_with_its_cut_drawn_on_it', async (page, mock) => {
  await page.place('scraps', 'p1');
  await page.getByRole('button', { name: /^Scrap 3, about/ }).click();
  await page.getByRole('dialog').getByText('Scrap 3').first().waitFor();
  await page.locator('dialog .cut .square').first().waitFor();
  await accessible(page, 'scrap sheet');
  await picture(page, `scrap-${page.size.name}`);
  await press(page, 'Throw it away');
  await shows(page, 'Scrap 3 thrown away');
  same(mock.book.photos[0].scraps[2].state, 'thrown', 'state');
  await page.locator('.said').getByRole('button', { name: 'Undo' }).click();
  await shows(page, 'Taken back: throw a scrap away');
  same(mock.book.photos[0].scraps[2].state, 'lying', 'state after undo');
});

await journey('what_she_really_got_goes_into_the_basket_and_comes_back_by_undo', async (page) => {
  await page.place('basket');
  same(await page.locator('.huge').textContent(), '413', 'basket before');
  await page.place('scraps', 'p1');
  await page.getByRole('link', { name: 'Cut these' }).click();
  await shows(page, 'I got');
  const planned = Number(/\d+/.exec(await page.getByRole('button', { name: /Put \d+ in basket/ }).textContent())[0]);
  await page.getByRole('button', { name: 'Less: Squares that scrap 1 gave' }).click();
  await press(page, `Put ${planned - 1} in basket`);
  await page.waitForFunction(() => location.hash === '#/basket');
  await page.waitForFunction((n) => document.querySelector('.huge')?.textContent === String(n), 413 + planned - 1);
  await page.keyboard.press('u');
  await page.waitForFunction(() => document.querySelector('.huge')?.textContent === '413');
});

await journey('the_basket_is_shown_by_colour_value_source_and_depth', async (page) => {
  await page.place('basket');
  await choose(page, 'Value');
  await shows(page, 'light');
  await choose(page, 'Source');
  await shows(page, 'Winter Wheat');
  await choose(page, 'Depth');
  await shows(page, 'The oldest lie on top');
  await accessible(page, 'depth');
  await picture(page, `depth-${page.size.name}`);
});

await journey('a_tap_on_the_cloth_opens_the_fabric', async (page) => {
  await page.place('basket');
  await page.locator('canvas').click({ position: { x: 10, y: 10 } });
  await page.getByRole('dialog').waitFor();
  await accessible(page, 'fabric sheet');
  await page.keyboard.press('Escape');
  await page.getByRole('dialog').waitFor({ state: 'detached' });
});

await journey('a_basket_of_two_thousand_fabrics_asks_for_few_pictures', async (page, mock) => {
  const [one] = mock.book.fabrics;
  mock.book.fabrics.push(...Array.from({ length: 2000 }, (_, i) => ({ ...one, fabric: `many-${i}`, swatch: true, squares: 5 })));
  page.setDefaultTimeout(20000);
  const asked = new Set();
  page.on('request', (request) => /swatch/.test(request.url()) && asked.add(request.url()));
  await page.place('basket');
  await page.locator('.fabrics li').nth(59).waitFor();
  await still(page);
  same(await page.locator('.fabrics li').count(), 60, 'fabrics listed at once');
  expect(asked.size > 0 && asked.size <= 20, `${asked.size} pictures`);
  await page.getByRole('button', { name: /^Show more of the other/ }).click();
  await page.locator('.fabrics li').nth(179).waitFor();
}, { sizes: [phone] });

await journey('an_outline_is_mended_by_drag_by_tap_and_tap_and_by_keys', async (page, mock) => {
  const scrap = mock.book.photos[0].scraps[2];
  const before = structuredClone(scrap.outline_in);
  await page.place('scraps', 'p1', 'mend', scrap.id);
  const corner = (n) => page.getByRole('button', { name: new RegExp(`^Corner ${n} of`) });
  const middle = async (n) => {
    await drawn(page);
    const box = await corner(n).locator('rect').boundingBox();
    return [box.x + box.width / 2, box.y + box.height / 2];
  };
  await page.waitForFunction(() => document.querySelector('.handle rect')?.getBoundingClientRect().width > 5);
  const [x, y] = await middle(1);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + 20, y + 12, { steps: 4 });
  await page.locator('.loupe').waitFor();
  await picture(page, `mend-dragged-${page.size.name}`);
  await page.mouse.up();
  const [x1, y1] = await middle(1);
  expect(Math.abs(x1 - x - 20) < 3 && Math.abs(y1 - y - 12) < 3, `corner 1 went by ${x1 - x}, ${y1 - y}`);
  await page.mouse.click(x1, y1); // what was dragged is still chosen: this lets go
  const [x3, y3] = await middle(3);
  await page.mouse.click(x3, y3);
  await page.mouse.click(x3 - 30, y3 - 5);
  const [x4] = await middle(3);
  expect(Math.abs(x4 - x3 + 30) < 3, `corner 3 went by ${x4 - x3}`);
  await corner(2).focus();
  await page.keyboard.press('ArrowRight');
  await accessible(page, 'mend');
  await press(page, 'Keep this outline');
  await shows(page, 'Outline of scrap 3 mended');
  const moved = scrap.outline_in.filter((p, i) => before.every((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) > 0.01)).length;
  same(moved, 3, 'corners moved');
});

await journey('a_scrap_is_told_apart_by_one_tap_on_a_picture', async (page, mock) => {
  await page.place('scraps', 'p1');
  await page.locator('.scrap-rows button').first().click();
  await shows(page, 'Is it one of these?');
  await page.locator('.alike button').nth(1).click();
  await shows(page, 'This fabric');
  same(await page.locator('.alike [aria-pressed=true]').count(), 1, 'pictures chosen');
  same(mock.book.photos[0].scraps[0].fabric, 'f2', 'fabric in the book');
});

await journey('a_fabric_is_named_and_its_figure_shows_where_it_comes_from', async (page, mock) => {
  await page.place('basket');
  await page.locator('.fabrics button').first().click();
  await shows(page, 'Where this figure comes from');
  await page.getByLabel('Its name').fill('night ferry');
  await press(page, 'Keep');
  await page.getByRole('dialog', { name: 'night ferry' }).waitFor();
  same(mock.book.fabrics[0].name, 'night ferry', 'name in the book');
  await accessible(page, 'fabric sheet');
  await picture(page, `fabric-${page.size.name}`);
});

await journey('squares_are_added_and_taken_by_hand_and_too_many_are_refused_in_place', async (page) => {
  await page.place('basket');
  await page.getByText('Add or take by hand').click();
  await press(page, 'Put 10 in');
  await page.waitForFunction(() => document.querySelector('.huge')?.textContent === '423');
  await choose(page, 'I took some out');
  await page.getByRole('textbox', { name: 'Squares taken out' }).fill('5000');
  await page.keyboard.press('Tab');
  await press(page, 'Take 5000 out');
  await page.locator('.by-hand').getByText('store.basket-short').waitFor();
}, { expected: /status of 409/ });

await journey('a_tap_crosses_a_block_off_and_a_second_tap_undoes', async (page) => {
  await page.place('quilts', 'Tideline');
  const place = page.getByRole('gridcell', { name: /^Row 8, 3rd/ });
  await place.click();
  await page.getByRole('gridcell', { name: 'Row 8, 3rd: plain, made', exact: true }).waitFor();
  await shows(page, '74 of 192 blocks made');
  await noSlip(page);
  await place.click();
  await shows(page, '73 of 192 blocks made');
  await page.getByRole('gridcell', { name: 'Row 8, 3rd: plain, not made' }).waitFor();
});

await journey('the_chart_is_walked_with_arrows_and_crossed_with_enter', async (page) => {
  await page.place('quilts', 'Tideline');
  await page.getByRole('gridcell', { name: /^Row 1, 1st/ }).focus();
  for (const key of ['End', 'PageDown', 'ArrowLeft', 'Enter']) await page.keyboard.press(key);
  await page.getByRole('gridcell', { name: 'Row 11, 11th: cross, made' }).or(page.getByRole('gridcell', { name: /^Row 11, 11th: .*, made/ })).waitFor();
  await shows(page, '74 of 192 blocks made');
  expect((await page.evaluate(() => document.activeElement.getAttribute('aria-label'))).startsWith('Row 11, 11th'), 'the focus stays on the place');
  await page.keyboard.press('u');
  await shows(page, '73 of 192 blocks made');
});

await journey('a_large_chart_comes_closer_at_the_first_tap', async (page) => {
  const { quilt } = mocks.crowded.book.quilts[1];
  await page.place('quilts', quilt);
  const place = page.getByRole('gridcell', { name: /^Row 20, 18th/ });
  const before = await place.boundingBox();
  await place.tap();
  await still(page);
  const after = await place.boundingBox();
  expect(before.width < 24 && after.width >= 28, `from ${before.width} to ${after.width} px`);
  same(await place.getAttribute('aria-selected'), 'false', 'crossed by the first tap');
  await place.tap();
  await place.and(page.locator('[aria-selected=true]')).waitFor(); // crossed by the second tap
  await picture(page, 'chart-closer-phone');
}, { scene: 'crowded', sizes: [phone] });

await journey('two_fingers_bring_the_chart_closer', async (page) => {
  await page.place('quilts', 'Tideline');
  const place = page.getByRole('gridcell', { name: /^Row 8, 6th/ });
  const before = (await place.boundingBox()).width;
  const { x, y } = await place.boundingBox();
  const touch = await page.context().newCDPSession(page);
  const fingers = (apart) => [{ x: x - apart, y, id: 1 }, { x: x + apart, y, id: 2 }];
  await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [fingers(30)[0]] });
  await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: fingers(30) });
  for (const apart of [36, 44, 54, 64, 75]) {
    await touch.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: fingers(apart) });
    await drawn(page);
  }
  await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  await still(page);
  const after = (await place.boundingBox()).width;
  expect(after > before * 1.8, `from ${before} to ${after} px`);
  same(await page.locator('.place.made').count(), 73, 'places crossed by the pinch');
}, { sizes: [phone] });

await journey('some_are_turned_over_and_the_made_block_makes_room_for_the_next', async (page) => {
  await page.place('quilts', 'Tideline', 'next');
  await shows(page, 'Row 7, 2nd');
  const patches = () => page.locator('.block .patch').evaluateAll((all) => all.map((one) => one.getAttribute('aria-label')).join());
  const first = await patches();
  await answered(page, '/next', () => press(page, 'Turn some over'));
  await drawn(page);
  expect(await patches() !== first, 'other fabrics after turning some over');
  await press(page, 'Made it');
  await shows(page, 'Row 7, 3rd');
  await shows(page, '74 of 192 blocks made');
});

await journey('a_day_of_blocks_lists_the_squares_to_pull_and_is_crossed_off_at_once', async (page) => {
  await page.place('quilts', 'Tideline', 'next');
  await page.getByRole('link', { name: "A day's blocks at once" }).click();
  await page.locator('.day-blocks li').nth(9).waitFor();
  const pulled = await page.locator('.pulls .grow').evaluateAll((all) => all.reduce((sum, one) => sum + Number(/(\d+) ×/.exec(one.textContent)[1]), 0));
  same(await page.locator('.day-blocks .patch .cloth').count(), pulled, 'patches of the blocks, against squares to pull');
  const blocks = () => page.locator('.day-blocks').textContent();
  const before = await blocks();
  await page.locator('.pull input').first().check();
  await page.reload(); // what lies on her table stays
  await page.locator('.day-blocks li').nth(9).waitFor();
  same(await blocks(), before, 'the blocks after opening the page again');
  expect(await page.locator('.pull input').first().isChecked(), 'what was pulled is not forgotten');
  await fits(page, 'day');
  await reachable(page, 'day');
  await accessible(page, 'day');
  await press(page, 'All 10 are made');
  await shows(page, '83 of 192 blocks made');
}, { sizes: [phone] });

await journey('a_quilt_is_started_in_three_steps_with_its_plan_in_view', async (page, mock) => {
  await page.place('quilts', 'start');
  await page.getByRole('link', { name: /Lattice chain/ }).click();
  await shows(page, '72 × 96 in');
  await page.getByRole('button', { name: 'More: Blocks across' }).click();
  await shows(page, '78 × 96 in');
  await page.getByLabel(/Its name/).fill('Tideline');
  await press(page, 'Start this quilt');
  await shows(page, 'store.quilt-exists');
  await page.getByLabel(/Its name/).fill('Harbour Wall');
  await noSlip(page);
  await press(page, 'Start this quilt');
  await shows(page, '0 of 208 blocks made');
  same(mock.book.quilts[0].quilt, 'Harbour Wall', 'the quilt in the book');
}, { expected: /status of 409/ });

await journey('a_setting_that_cannot_be_is_refused_beside_its_line', async (page) => {
  await page.place('settings');
  await page.getByLabel('Unit that squares are cut to').fill('2 1/0 in');
  await page.keyboard.press('Tab');
  await page.locator('.setting').first().getByText('length.range').waitFor();
  await page.getByLabel('Unit that squares are cut to').fill('60 mm');
  await page.keyboard.press('Tab');
  await page.locator('.setting').first().getByText('length.range').waitFor({ state: 'detached' });
  await choose(page, 'centimetres');
  await page.place('quilts', 'start', 'lattice-chain');
  await shows(page, '182.9 × 243.8 cm');
}, { expected: /status of 400/ });

await journey('what_another_device_changed_shows_by_itself', async (page, mock) => {
  await page.place('basket');
  while (mock.book.listeners.size === 0) await drawn(page); // it hears of changes
  await fetch(`${mock.url}api/basket/add`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: '{"count":7}' });
  await page.waitForFunction(() => document.querySelector('.huge')?.textContent === '420');
});

await journey('taps_wait_on_the_device_while_the_wifi_is_away_and_are_sent_once_each', async (page, mock) => {
  await page.place('quilts', 'Tideline');
  same(await page.evaluate(() => isSecureContext), false, 'a secure context');
  // The first one arrives, and only its answer is lost.
  await page.route('**/made', async (route) => {
    const request = route.request();
    await fetch(`${mock.url}api/quilts/Tideline/made`, { method: 'POST', headers: request.headers(), body: request.postData() });
    await route.abort();
  }, { times: 1 });
  await page.getByRole('gridcell', { name: /^Row 8, 3rd/ }).click();
  await page.context().setOffline(true);
  await shows(page, 'The program does not answer. 1 tap waits on this device.');
  for (const [i, which] of [/^Row 8, 4th/, /^Row 8, 5th/, /^Row 8, 5th/].entries()) {
    await noSlip(page);
    await page.getByRole('gridcell', { name: which }).click();
    await shows(page, `${i + 2} taps wait on this device.`);
  }
  await page.getByRole('gridcell', { name: /^Row 8, 4th: .*, made/ }).waitFor();
  await page.getByRole('gridcell', { name: /^Row 8, 5th: .*, not made/ }).waitFor();
  await accessible(page, 'away');
  await picture(page, `away-${page.size.name}`);
  await press(page, 'Show them');
  await shows(page, 'Row 8, 4th is made');
  await accessible(page, 'what waits');
  await picture(page, `away-taps-${page.size.name}`);
  // The page is closed and opened again, and only then the network is back.
  const sent = [];
  page.context().on('request', (request) => request.method() === 'POST' && sent.push(request.headers()['idempotency-key']));
  const { length } = mock.book.undo;
  await page.goto('about:blank');
  await page.context().setOffline(false);
  await page.place('quilts', 'Tideline');
  await page.waitForFunction(() => !document.querySelector('.away'));
  await shows(page, '75 of 192 blocks made');
  same([new Set(sent).size, sent.length, mock.book.undo.length - length], [4, 4, 3], 'sent, of them anew, and done');
}, { network: true, expected: /ERR_INTERNET_DISCONNECTED|ERR_FAILED|status of 409/ });

await journey('a_tap_that_was_refused_later_is_shown_until_it_is_let_go', async (page, mock) => {
  await page.place('basket');
  await page.getByText('Add or take by hand').click();
  await choose(page, 'I took some out');
  await page.context().setOffline(true);
  await press(page, 'Take 10 out');
  await shows(page, '1 tap waits on this device.');
  mock.book.fabrics.forEach((one) => { one.squares = 0; });
  await page.context().setOffline(false);
  await shows(page, '1 tap waits on this device; look at them.');
  await press(page, 'Show them');
  await page.getByRole('dialog').getByText('store.basket-short').waitFor();
  await accessible(page, 'refused');
  await page.getByRole('button', { name: /^Let go: / }).click();
  await page.waitForFunction(() => !document.querySelector('.away'));
}, { expected: /ERR_INTERNET_DISCONNECTED|status of 409/, sizes: [phone] });

await journey('keys_go_everywhere_and_say_what_they_do', async (page) => {
  await page.place('scraps');
  await page.keyboard.press('2');
  await page.waitForFunction(() => location.hash === '#/basket');
  await page.keyboard.press('?');
  await page.getByRole('dialog', { name: 'Keys' }).waitFor();
  await accessible(page, 'keys');
  await page.keyboard.press('Escape');
  await page.getByRole('dialog').waitFor({ state: 'detached' });
  await page.goBack();
  await page.waitForFunction(() => location.hash === '#/scraps');
}, { sizes: [laptop] });

await journey('sheets_are_printed_from_links_that_name_the_quilt_and_the_paper', async (page) => {
  await page.place('quilts', 'Tideline', 'paper');
  const link = await page.getByRole('link', { name: 'Chart to cross off' }).getAttribute('href');
  same(link, '/api/print/chart.pdf?quilt=Tideline&paper=a4', 'link');
});

await browser.close();
for (const mock of Object.values(mocks)) await mock.close();
rmSync(folder, { recursive: true });
finish();
