// A browser that nothing listens to but what is asked of it. Playwright has every request told
// to it, which on two cores takes a third of a first view's time that no user's browser takes;
// this one speaks the DevTools protocol through a pipe and turns on no more than it needs.
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { executable, flags } from '../tests/page/browser.mjs';
import { cookiesFor } from '../tests/page/session.mjs';

const pause = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });

/** Starts Chromium; resolves with firstView() and stop(). */
export async function quietBrowser() {
  const profile = mkdtempSync(join(tmpdir(), 'motley-browser-'));
  const chromium = spawn(executable, [...flags, '--headless', '--remote-debugging-pipe', `--user-data-dir=${profile}`],
    { stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe'] });
  const [, , , into, from] = chromium.stdio;
  const waiting = new Map(); // number of the question -> [resolve, reject]
  let asked = 0;
  let heard = '';
  from.on('data', (data) => {
    const parts = (heard + data).split('\0');
    heard = parts.pop();
    for (const { id, result, error } of parts.map((part) => JSON.parse(part))) {
      const [resolve, reject] = waiting.get(id) ?? [() => {}, () => {}]; // news have no number
      waiting.delete(id);
      if (error) reject(new Error(error.message));
      else resolve(result);
    }
  });
  const send = (method, params = {}, sessionId = undefined) => new Promise((resolve, reject) => {
    waiting.set(++asked, [resolve, reject]);
    into.write(`${JSON.stringify({ id: asked, method, params, sessionId })}\0`);
  });
  await send('Target.getTargets');
  await pause(3000); // until it has done what a browser does after its start

  /** From the address to the frame that shows `what`, nothing cached, and what the page
   *  computed for it: [ms, ms]. */
  async function firstView(base, { width, height, hasTouch }, place, what) {
    const { browserContextId } = await send('Target.createBrowserContext');
    const cookies = cookiesFor(base).map(({ name, value }) => ({ name, value, url: base }));
    await send('Storage.setCookies', { cookies, browserContextId });
    const { targetId } = await send('Target.createTarget', { url: 'about:blank', browserContextId, width, height });
    const { sessionId } = await send('Target.attachToTarget', { targetId, flatten: true });
    const ask = (method, params) => send(method, params, sessionId);
    await ask('Page.enable');
    await ask('Performance.enable', { timeDomain: 'threadTicks' }); // processor time, not the clock's
    await ask('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: 1, mobile: hasTouch });
    await ask('Page.addScriptToEvaluateOnNewDocument', { source: `{
      const look = () => {
        if (document.querySelector(${JSON.stringify(what)})) requestAnimationFrame(() => { window.shown = performance.now(); });
        else requestAnimationFrame(look);
      };
      look();
    }` });
    await pause(500);
    await ask('Page.navigate', { url: `${base}#/${place}` });
    const shown = async () => (await ask('Runtime.evaluate', { expression: 'window.shown' })).result.value;
    let ms;
    for (let tries = 0; ms === undefined; tries++) {
      if (tries > 60) throw new Error(`${place}: not shown within a minute`);
      await pause(1000); // a question would disturb it
      ms = await shown();
    }
    const { metrics } = await ask('Performance.getMetrics');
    await send('Target.disposeBrowserContext', { browserContextId });
    return [ms, 1000 * metrics.find(({ name }) => name === 'TaskDuration').value];
  }

  async function stop() {
    const gone = new Promise((resolve) => { chromium.once('exit', resolve); });
    await send('Browser.close');
    await gone;
    rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
  }

  return { firstView, stop };
}
