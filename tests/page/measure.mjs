// Measures the page on the real program and prints a table for docs/figures/page.md.
//
//   node tests/page/measure.mjs BASE_URL QUILT
import { readFileSync, readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { laptop, launch, openPage, phone } from './browser.mjs';

const [base, quilt] = process.argv.slice(2);
if (!base || !quilt) {
  console.error('usage: measure.mjs BASE_URL QUILT');
  process.exit(2);
}
const ui = fileURLToPath(new URL('../../ui/', import.meta.url));
const median = (list) => list.sort((a, b) => a - b)[Math.floor(list.length / 2)];
const row = (what, figure) => console.log(`| ${what} | ${figure} |`);
const browser = await launch();

row('script, each file compressed by gzip -9', `${(readdirSync(ui, { recursive: true }).filter((name) => name.endsWith('.js'))
  .reduce((sum, name) => sum + gzipSync(readFileSync(ui + name), { level: 9 }).length, 0) / 1000).toFixed(1)} kB`);

for (const size of [phone, laptop]) {
  // A cold start: nothing cached, from the address to the basket's number on the screen.
  const first = [];
  for (let i = 0; i < 7; i++) {
    const page = await openPage(browser, base, size);
    await page.addInitScript(() => {
      const look = () => {
        if (document.querySelector('.huge')) requestAnimationFrame(() => { window.shown = performance.now(); });
        else requestAnimationFrame(look);
      };
      look();
    });
    await page.goto(`${base}#/basket`);
    first.push(await (await page.waitForFunction(() => window.shown)).jsonValue());
    await page.close2();
  }
  row(`address to the basket's number, nothing cached, ${size.name}, median of 7`, `${Math.round(median(first))} ms`);

  // From a tap on the chart to the frame that shows the cross.
  const page = await openPage(browser, base, size);
  await page.place('quilts', quilt);
  await page.locator('[role=gridcell]').last().waitFor();
  const taps = await page.evaluate(async () => {
    const places = [...document.querySelectorAll('[role=gridcell][aria-selected=false]')].slice(-12);
    const times = [];
    for (const place of places) {
      const start = performance.now();
      place.click();
      await new Promise((resolve) => {
        const look = () => (place.classList.contains('made') ? resolve() : requestAnimationFrame(look));
        look();
      });
      times.push(performance.now() - start);
      await new Promise((resolve) => setTimeout(resolve, 150));
      place.click();
      await new Promise((resolve) => setTimeout(resolve, 150));
    }
    return { times, places: document.querySelectorAll('[role=gridcell]').length };
  });
  row(`tap to cross on a chart of ${taps.places} places, ${size.name}, median of 12`, `${median(taps.times).toFixed(0)} ms`);

  const frames = await page.evaluate(async () => {
    document.querySelectorAll('.zoom-buttons button')[0].click();
    await new Promise((resolve) => setTimeout(resolve, 200));
    const box = document.querySelector('.zoom.chart');
    const times = [];
    let last = performance.now();
    for (let i = 0; i < 120; i++) {
      box.scrollTop += i < 60 ? 6 : -6;
      box.scrollLeft += i < 60 ? 4 : -4;
      await new Promise(requestAnimationFrame);
      times.push(performance.now() - last);
      last = performance.now();
    }
    times.sort((a, b) => a - b);
    return { middle: times[60], worst: times[118] };
  });
  row(`a frame while the chart is panned, ${size.name}, median and 99 in 100`, `${frames.middle.toFixed(0)} and ${frames.worst.toFixed(0)} ms`);
  await page.close2();
}
await browser.close();
