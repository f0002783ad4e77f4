// Measures the page on the real program, in Debian's Chromium, and prints tables for
// docs/figures/page.md: bench/page.sh starts both.
//
//   node bench/page.mjs MOTLEY BOOK DEMO_BOOK [PART...]
import { spawn } from 'node:child_process';
import { readFileSync, readdirSync } from 'node:fs';
import { loadavg } from 'node:os';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { laptop, launch, openPage, phone } from '../tests/page/browser.mjs';
import { claim } from '../tests/page/program.mjs';
import { quietBrowser } from './quiet.mjs';

const [motley, old, demo, ...parts] = process.argv.slice(2);
const wanted = (part) => parts.length === 0 || parts.includes(part);
const ui = fileURLToPath(new URL('../ui/', import.meta.url));
const sorted = (list) => [...list].sort((a, b) => a - b);
const at = (list, part) => sorted(list)[Math.min(list.length - 1, Math.floor(part * list.length))];
const ms = (n) => n.toFixed(0);
const row = (...cells) => console.log(`| ${cells.join(' | ')} |`);
const head = (...cells) => {
  console.log('');
  row(...cells);
  row(...cells.map(() => '---'));
};
const three = (list) => [ms(Math.min(...list)), ms(at(list, 0.5)), ms(Math.max(...list))];

async function serve(book) {
  const server = spawn(motley, ['serve', '--book', book, '--port', '0'], { stdio: ['ignore', 'pipe', 'ignore'] });
  // The first opening may bring an old book to the newest form, which takes minutes.
  const base = await new Promise((resolve) => {
    server.stdout.on('data', (data) => {
      const found = /http:\/\/\S+/.exec(data);
      if (found) resolve(`${found[0].replace(/\/$/, '')}/`);
    });
  });
  await claim(motley, book, base.replace(/\/$/, ''));
  return { base, stop: () => new Promise((resolve) => { server.once('exit', resolve); server.kill('SIGTERM'); }) };
}

const browser = await launch();
console.log(`load at first: ${loadavg().map((n) => n.toFixed(1)).join(', ')}`);

// ---- script -----------------------------------------------------------------------------------

if (wanted('script')) {
  head('script, each file by gzip -9 as it is sent', 'kB');
  const scripts = readdirSync(ui, { recursive: true }).filter((name) => name.endsWith('.js'));
  const weight = (names) => (names.reduce((sum, name) => sum + gzipSync(readFileSync(ui + name), { level: 9 }).length, 0) / 1000).toFixed(1);
  const german = (name) => /^text\/(de|german|\w+-de)/.test(name);
  const start = ['main.js', ...[...readFileSync(`${ui}index.html`, 'utf8').matchAll(/modulepreload" href="([^"]+)"/g)].map(([, name]) => name)];
  row('with the first view', weight(start));
  row('every view, English', weight(scripts.filter((name) => !german(name))));
  row('every view, both languages', weight(scripts));
}

// ---- first view -------------------------------------------------------------------------------

const views = [['scraps', 'main .button.main'], ['basket', '.huge'], ['quilts', 'main h2, main .quilt-list, main li'], ['record', 'main svg, main table'], ['settings', '#set-unit']];
const books = [['the book of thirty years', await serve(old)], ['the demo book', await serve(demo)]];
const times = 7;
const quiet = wanted('views') && await quietBrowser();
for (const [name, { base }] of quiet ? books : []) {
  head(`${name}: address to the first view, nothing cached, ms`, 'fastest', 'median', `worst of ${times}`, 'computed within a second, median');
  for (const size of [phone, laptop]) {
    for (const [place, what] of views) {
      const runs = [];
      for (let i = 0; i < times; i++) runs.push(await quiet.firstView(base, size, place, what));
      row(`${place}, ${size.name}`, ...three(runs.map(([shown]) => shown)), ms(at(runs.map(([, computed]) => computed), 0.5)));
    }
  }
}
if (quiet) await quiet.stop();

// ---- the catalogue of designs --------------------------------------------------------------------

/** From the click on a quiet list of quilts, `press` ms after the finger went down (0: none did): the list of designs, its pictures in view loaded, and the
 *  frame after. Items are measured, not their pictures: asking for these lays out what is out of view. */
const catalogue = async (page, press) => page.evaluate(async (press) => {
  const link = document.querySelector('a[href="#/quilts/start"]');
  if (press > 0) {
    link.dispatchEvent(new PointerEvent('pointerdown', { bubbles: true }));
    await new Promise((resolve) => { setTimeout(resolve, press); });
  }
  const begun = performance.now();
  const since = () => performance.now() - begun;
  const frame = () => new Promise(requestAnimationFrame);
  link.click();
  const near = () => [...document.querySelectorAll('.designs li')].filter((it) => it.getBoundingClientRect().top < innerHeight).map((it) => it.querySelector('img'));
  while (!document.querySelector('.designs li')) await frame();
  const list = since();
  while (near().some((it) => !it.complete || it.naturalWidth === 0)) await frame();
  const loaded = since();
  await frame();
  await frame();
  return [near().length, list, loaded, since()];
}, press);

if (wanted('catalogue')) {
  head('the demo book: the catalogue, from the click to its pictures in view, nothing cached, ms', 'pictures', 'fastest', 'median', 'worst of 7', 'painted, median', 'its list, median');
  for (const [size, press] of [[phone, 0], [laptop, 0], [phone, 80], [laptop, 80]]) {
    const runs = [];
    for (let i = 0; i < 7; i++) {
      const page = await openPage(browser, books[1][1].base, size);
      await page.place('quilts');
      await page.waitForTimeout(1000); // as long as she looks at her quilts
      runs.push(await catalogue(page, press));
      await page.close2();
    }
    const of = (n) => runs.map((run) => run[n]);
    row(`${size.name}${press ? `, finger down ${press} ms before` : ''}`, runs[0][0], ...three(of(2)), ms(at(of(3), 0.5)), ms(at(of(1), 0.5)));
  }
}

// ---- what follows a tap ----------------------------------------------------------------------------

const nextFrames = 12; // taps measured of each kind

/** From a click to the frame in which `done` holds: both are expressions of the page. It goes
 *  through the debugger, for the page's own policy allows no text to be run. */
const click = (page, it, done) => page.evaluate(`(async () => {
  const it = ${it};
  const begun = performance.now();
  it.click();
  do await new Promise(requestAnimationFrame); while (!(${done}));
  return performance.now() - begun;
})()`);

async function interactions(page, quilt) {
  const rows = [];
  const measure = async (what, list) => rows.push([what, ...three(list)]);
  const many = async (run, times = nextFrames) => {
    const list = [];
    for (let i = 0; i < times; i++) {
      list.push(await run(i));
      await page.waitForTimeout(150);
    }
    return list;
  };
  await page.place('quilts', quilt);
  await page.locator('[role=gridcell]').last().waitFor();
  await measure('tap a place of the chart: its cross', await many(() => click(page,
    '(window.tapped = [...document.querySelectorAll("[role=gridcell][aria-selected=false]")].at(-1))', 'window.tapped.classList.contains("made")')));
  await measure('tap it again: the cross goes', await many(() => click(page,
    '(window.tapped = [...document.querySelectorAll("[role=gridcell][aria-selected=true]")].at(-1))', '!window.tapped.classList.contains("made")')));
  await page.place('basket');
  await page.locator('.huge').waitFor();
  await measure('the basket in another order', await many((i) => click(page,
    `document.querySelectorAll('main input[type=radio]')[${(i + 1) % 4}]`, `document.querySelectorAll('main input[type=radio]')[${(i + 1) % 4}].checked`)));
  const names = ['scraps', 'basket', 'quilts', 'record', 'settings'];
  await many((i) => click(page, `document.querySelector('.places a[href="#/${names[i % 5]}"]')`, `document.querySelector('.places a[href="#/${names[i % 5]}"]').getAttribute('aria-current') === 'page'`), 5);
  await measure('another place, when it has been seen before', await many((i) => click(page,
    `document.querySelector('.places a[href="#/${names[i % 5]}"]')`, `document.querySelector('.places a[href="#/${names[i % 5]}"]').getAttribute('aria-current') === 'page' && !document.querySelector('[data-waiting]')`), 15));
  return rows;
}

for (const [name, { base: where }] of wanted('taps') ? books : []) {
  const { quilts } = await (await fetch(`${where}api/quilts`)).json();
  const open = quilts.filter(({ state }) => state === 'under way');
  const quilt = (open.length > 0 ? open : quilts).sort((a, b) => b.left - a.left)[0].quilt;
  head(`${name}: from a tap to the frame that shows it, ms`, 'fastest', 'median', 'worst');
  for (const size of [phone, laptop]) {
    const page = await openPage(browser, where, size);
    page.setDefaultTimeout(20000);
    for (const one of await interactions(page, quilt)) row(`${one[0]}, ${size.name}`, ...one.slice(1));
    await page.close2();
  }
}

// ---- a chart of 5,184 patches, panned ------------------------------------------------------------------

if (wanted('panning')) {
  const { base } = books[1][1];
  await fetch(`${base}api/quilts`, {
    method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ quilt: 'Large', design: 'lattice-chain', across: 24, down: 24 }),
  });
  head('a chart of 24 x 24 blocks (5,184 patches), zoomed in three steps, panned 9 by 6 px a frame for 160 frames; ms a frame', 'median', '90 in 100', '99 in 100', 'worst');
  for (const size of [phone, laptop]) {
    for (let run = 0; run < 3; run++) {
      const page = await openPage(browser, base, size);
      page.setDefaultTimeout(40000); // of a busy machine
      await page.place('quilts', 'Large');
      await page.locator('[role=gridcell]').last().waitFor();
      const times = await page.evaluate(async () => {
        for (let i = 0; i < 3; i++) {
          document.querySelector('.zoom-buttons button').click();
          await new Promise((resolve) => { setTimeout(resolve, 250); });
        }
        const box = document.querySelector('.zoom.chart');
        const list = [];
        let last = await new Promise(requestAnimationFrame);
        for (let i = 0; i < 160; i++) {
          box.scrollTop += i < 80 ? 6 : -6;
          box.scrollLeft += i < 80 ? 9 : -9;
          const now = await new Promise(requestAnimationFrame);
          list.push(now - last);
          last = now;
        }
        return list;
      });
      row(`${size.name}, ${await page.locator('[role=gridcell]').count()} places`, ms(at(times, 0.5)), ms(at(times, 0.9)), ms(at(times, 0.99)), ms(Math.max(...times)));
      await page.close2();
    }
  }
}

console.log(`\nload at last: ${loadavg().map((n) => n.toFixed(1)).join(', ')}`);
await browser.close();
for (const [, { stop }] of books) await stop();
