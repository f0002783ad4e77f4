// What both browser tests share: the browser, numbered results, and looking for faults.
import { mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { chromium } from 'playwright-core';
import { cookiesFor } from './session.mjs';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

export const phone = { name: 'phone', width: 390, height: 844, hasTouch: true };
export const tablet = { name: 'tablet', width: 820, height: 1180, hasTouch: true };
export const laptop = { name: 'laptop', width: 1440, height: 900, hasTouch: false };

/** The sizes that a journey is made at: with MOTLEY_SIZES=both (./check --long) a phone and a
 *  laptop, else the one that she makes it with; every view is looked at at each size anyway. */
export const journeySizes = (usual) => (process.env.MOTLEY_SIZES === 'both' ? [phone, laptop] : [usual]);

// With MOTLEY_NO_NAMES the browser asks no name server at all, also not for its own services
// (tests/trust/check_no_route.py counts); a page that asks elsewhere is a fault in any case.
const names = `MAP motley.test 127.0.0.1${process.env.MOTLEY_NO_NAMES ? ', MAP * ~NOTFOUND, EXCLUDE localhost, EXCLUDE 127.0.0.1' : ''}`;

/** The browser and its flags, also for bench/quiet.mjs, which starts it by itself. */
export const executable = process.env.CHROMIUM ?? '/usr/bin/chromium';
export const flags = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', `--host-resolver-rules=${names}`, '--disable-component-update', '--disable-sync'];

export const launch = () => chromium.launch({ executablePath: executable, args: flags });

/** The same server as a phone in the network sees it: plain HTTP under a name of its own, which
 *  to a browser is no secure context. */
export const inNetwork = (url) => url.replace('127.0.0.1', 'motley.test');

// ---- results in TAP -----------------------------------------------------------------------

let number = 0;
let failed = 0;

/** Runs one test; its name is a sentence that holds or does not. MOTLEY_ONLY=word picks. */
export async function test(name, run) {
  if (!name.includes(process.env.MOTLEY_ONLY ?? '')) return;
  number++;
  try {
    await run();
    console.log(`ok ${number} - ${name}`);
  } catch (trouble) {
    failed++;
    console.log(`not ok ${number} - ${name}`);
    for (const line of String(trouble.stack ?? trouble).split('\n').slice(0, 12)) console.log(`# ${line}`);
  }
}

/** Prints the plan and ends the program. */
export function finish() {
  console.log(`1..${number}`);
  console.log(`# ${number - failed} passed, ${failed} failed`);
  process.exit(failed > 0 || number === 0 ? 1 : 0);
}

export function expect(holds, words) {
  if (!holds) throw new Error(words);
}

export const same = (got, wanted, what) => expect(
  JSON.stringify(got) === JSON.stringify(wanted), `${what}: ${JSON.stringify(got)}, wanted ${JSON.stringify(wanted)}`,
);

// ---- pages ----------------------------------------------------------------------------------

/**
 * A fresh page of one size and scheme. `page.faults` gathers what the browser complains of
 * (a broken security policy among it) and requests that leave the server.
 */
export async function openPage(browser, base, size, { dark = false, reduced = true } = {}) {
  const context = await browser.newContext({
    viewport: { width: size.width, height: size.height }, hasTouch: size.hasTouch, isMobile: size.hasTouch,
    colorScheme: dark ? 'dark' : 'light', reducedMotion: reduced ? 'reduce' : 'no-preference', locale: 'en-GB',
    bypassCSP: false,
  });
  await context.addCookies(cookiesFor(base));
  const page = await context.newPage();
  page.setDefaultTimeout(20000); // a busy machine, not a slow page
  page.faults = [];
  page.expected = /$^/; // complaints that a test asks for
  page.on('console', (message) => {
    if (message.type() === 'error' && !page.expected.test(message.text())) page.faults.push(message.text());
  });
  page.on('pageerror', (trouble) => page.faults.push(String(trouble)));
  page.on('request', (request) => {
    const url = request.url();
    if (!url.startsWith(base) && !/^(data|blob):/.test(url)) page.faults.push(`a request to ${url}`);
  });
  page.base = base;
  page.size = size;
  page.place = async (...parts) => {
    await page.goto(`${base}#/${parts.map(encodeURIComponent).join('/')}`);
    await page.locator('h1').first().waitFor({ state: 'attached' });
    await page.waitForFunction(() => !document.querySelector('[data-waiting]'));
  };
  page.close2 = () => context.close();
  return page;
}

/** Waits until what was done last is drawn. */
export const drawn = (page) => page.evaluate(() => new Promise((done) => { requestAnimationFrame(() => requestAnimationFrame(done)); }));

/** Waits until the view is still: nothing is on its way, nothing moves, and no node has changed
 *  for a dozen frames, so that what comes after the first screen is there too. */
export const still = (page) => page.evaluate(() => new Promise((done) => {
  let frames = 0;
  const watch = new MutationObserver(() => { frames = 0; });
  watch.observe(document, { subtree: true, childList: true, attributes: true, characterData: true });
  const moves = () => document.querySelector('[data-waiting]')
    || document.getAnimations().some((one) => one.playState === 'running' && one.effect.getComputedTiming().iterations !== Infinity);
  const look = () => {
    frames = moves() ? 0 : frames + 1;
    if (frames <= 12) return requestAnimationFrame(look);
    watch.disconnect();
    return done();
  };
  requestAnimationFrame(look);
}));

/** Waits until the page takes a tap at the place of the last one for a second tap, not for a slip
 *  of the hand (ui/lib/slips.js), by its own clock. */
export const noSlip = async (page) => {
  const now = await page.evaluate(() => performance.now());
  await page.waitForFunction((then) => performance.now() > then + 300, now);
};

/** Does something and waits for the answer that the program gives at this end of an address. */
export async function answered(page, end, act) {
  const answer = page.waitForResponse((one) => one.url().endsWith(end));
  await act();
  await answer;
}

const rules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/** What a bar lay over when axe looked may only have been scrolled there: looks again at each
 *  such target in the middle of the view, and keeps what is too small there too. */
async function withoutScrolledUnder(page, violations) {
  const kept = [];
  for (const one of violations) {
    const nodes = [];
    for (const node of one.nodes) {
      const small = one.id !== 'target-size' || await page.evaluate(async ([target]) => {
        document.querySelector(target).scrollIntoView({ block: 'center' });
        const again = await window.axe.run(target, { runOnly: { type: 'rule', values: ['target-size'] } });
        return again.violations.length > 0;
      }, node.target);
      if (small) nodes.push(node);
    }
    if (nodes.length > 0) kept.push({ ...one, nodes });
  }
  return kept;
}

/** Runs axe over what is shown now; every violation is a fault. In another scheme nothing but
 *  the colours is another: then `contrast` alone is looked at. */
export async function accessible(page, where, { contrast = false } = {}) {
  // Half way from one colour to another there is no contrast to look at.
  await page.waitForFunction(() => document.getAnimations().every((one) => one.playState !== 'running' || one.effect.getComputedTiming().iterations === Infinity));
  // Through the debugging door, so the page's own policy stays as strict as it is.
  if (!await page.evaluate(() => 'axe' in window)) await page.evaluate(`${axe};0`);
  const result = await page.evaluate((runOnly) => window.axe.run(document, { runOnly, resultTypes: ['violations'] }),
    contrast ? { type: 'rule', values: ['color-contrast'] } : rules);
  const violations = await withoutScrolledUnder(page, result.violations);
  const words = violations.map((one) => `${one.id}: ${one.help}: ${one.nodes.slice(0, 3).map((node) => `${node.target.join(' ')} ${node.any[0]?.message ?? ''}`).join(' | ')}`);
  expect(words.length === 0, `${where}:\n${words.join('\n')}`);
}

/** Everything that can be pressed is 44 px high and wide, but words inside a sentence. */
export async function reachable(page, where) {
  const small = await page.evaluate(() => [...document.querySelectorAll('button, select, input, summary, a[href], [role="button"]')]
    .filter((it) => {
      if (it.closest('p, li.inline') || it.closest('[role="grid"]') || it.matches('.unseen, .skip, .title-place .notice') || it.closest('svg')) return false;
      if (it.closest('h1, h2')) return false; // a heading's link is as large as its words
      const box = (it.matches('.chip input, .tick input') ? it.closest('label') : it).getBoundingClientRect();
      return box.width > 0 && (box.height < 43.5 || box.width < 43.5);
    }).map((it) => {
      const box = it.getBoundingClientRect();
      return `${it.outerHTML.slice(0, 90)} ${Math.round(box.width)} x ${Math.round(box.height)}`;
    }));
  expect(small.length === 0, `${where}: too small to hit:\n${small.slice(0, 5).join('\n')}`);
}

/** Nothing sticks out sideways. */
export async function fits(page, where) {
  const over = await page.evaluate(() => {
    const root = document.scrollingElement;
    if (root.scrollWidth <= root.clientWidth + 1) return null;
    const wide = [...document.querySelectorAll('main *')].filter((it) => !it.closest('.scroll, .zoom') && it.getBoundingClientRect().right > root.clientWidth + 1);
    return `${root.scrollWidth} in ${root.clientWidth}: ${wide.slice(0, 3).map((it) => it.outerHTML.slice(0, 80)).join(' | ')}`;
  });
  expect(over === null, `${where}: sticks out sideways: ${over}`);
}

const shots = process.env.MOTLEY_SHOTS;
if (shots) mkdirSync(shots, { recursive: true });

/** Keeps a picture of the view where MOTLEY_SHOTS names a folder. */
export async function picture(page, name) {
  if (shots) await page.screenshot({ path: `${shots}/${name}.png` });
}
