// Taps wait here until the program has answered: written down on the device first, sent in the
// order in which they were made, and struck out when they are done. While the Wi-Fi is away
// they stay; the key under which each is sent lets the program do it once, also when it was
// only the answer that got lost. What is done holds in the page until the documents in view
// say the same, so that nothing jumps back for a moment.
import { cell } from './cell.js';
import { call } from './call.js';
import { inStore, newKey } from './store.js';

/** [{ key, at, method, path, body, words, kept, fault, done }], oldest first. `kept`: the program
 *  was away; `fault`: it would not do it, and she has not seen that yet; `done`: it did it, and
 *  the documents in view are being fetched anew. */
export const taps = cell([]);

/** Hook: the bodies that a path's document does not show yet, oldest first, without what was
 *  refused. */
export const useWaiting = (path) => taps.use().filter((one) => one.path === path && !one.fault).map(({ body }) => body);

const patience = 8000; // ms for one answer: Wi-Fi that is lost does not say so

const erase = (tap) => inStore('taps', 'readwrite', (all) => all.delete(tap.key));
const write = ({ promise, settle, ...tap }) => inStore('taps', 'readwrite', (all) => all.put(tap));

/** Strikes one out. */
export function drop(tap) {
  taps.set((all) => all.filter((one) => one.key !== tap.key));
  return erase(tap);
}

const mark = (tap, more) => {
  Object.assign(tap, more);
  taps.set((all) => [...all]);
  return tap.done ? erase(tap) : write(tap);
};

/** The documents in view were fetched after these were done. */
export const forget = (done) => taps.set((all) => all.filter((one) => !done.includes(one)));

/** The program is away: whoever waits for an answer hears that the tap is kept. */
async function keepAll() {
  for (const one of taps.value) {
    if (one.kept || one.done) continue;
    await mark(one, { kept: true });
    one.settle?.([{ kept: true }]);
  }
}

/** What became of one that was sent: the program did it, would not, or could not be reached. */
async function settle(tap, fault, answer) {
  if (!fault || fault.code === 'store.sent-before') {
    await mark(tap, { done: true, kept: false });
    tap.settle?.([answer ?? {}]);
    return true;
  }
  const away = fault.code === 'page.offline' || fault.code === 'web.not-paired' || /busy|locked/.test(fault.code);
  if (away) await keepAll();
  else if (tap.kept) await mark(tap, { fault: { code: fault.code, message: fault.message, hint: fault.hint } });
  else await drop(tap); // she is told at once, where she tapped
  if (!away) tap.settle?.([null, fault]);
  return !away;
}

async function sendAll() {
  let sent = 0;
  for (let tap; (tap = taps.value.find((one) => !one.fault && !one.done));) {
    let fault, answer;
    try {
      answer = await call(tap.method, tap.path, tap.body, { signal: AbortSignal.timeout(patience), keepalive: true, headers: { 'Idempotency-Key': tap.key } });
    } catch (trouble) {
      fault = trouble;
    }
    if (!await settle(tap, fault, answer)) break;
    sent++;
  }
  return sent;
}

let sending = null;

/** Sends what waits, as far as it goes; gives how many were sent. */
export const send = () => (sending ??= sendAll().finally(() => { sending = null; }));

/** Sends a change, or keeps it: gives the answer, or { kept: true }; a refusal is thrown. */
/** `look`: where she can look at it, should it be refused. */
export async function tap(method, path, body, words, look) {
  const one = { key: newKey(), at: Date.now(), method, path, body, words, look, kept: false };
  const outcome = new Promise((resolve) => { one.settle = resolve; });
  taps.set((all) => [...all, one]);
  await write(one);
  const others = sending; // it may have looked for the last time before this one came
  send();
  if (others) others.then(send);
  const [answer, fault] = await outcome;
  if (fault) throw fault;
  return answer;
}

/** What waited when the page was last closed. */
export async function remember() {
  const kept = await inStore('taps', 'readonly', (all) => all.getAll()) ?? [];
  kept.forEach((one) => { one.kept = true; });
  taps.set((now) => [...kept.sort((a, b) => a.at - b.at), ...now]);
  return send();
}
