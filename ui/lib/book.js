// The book as the page sees it: documents fetched once, drawn at once when they are here,
// and fetched again when the book has changed, whoever changed it.
import { useEffect, useState } from './html.js';
import { cell } from './cell.js';
import { Fault, call, offline } from './call.js';
import { forget, remember, send, tap, taps } from './taps.js';
import { translated, t } from '../text/text.js';

export { Fault, offline };

export const get = (path, signal) => call('GET', path, undefined, { signal });

/** A question that needs a body and changes nothing. */
export const ask = (path, body, signal) => call('POST', path, body, { signal });

// ---- documents -------------------------------------------------------------------------

let heard = 0; // the newest revision that the program has told of
const documents = new Map(); // path -> { data, fault, watchers, fetching, stale }
const most = 60; // documents kept that nobody watches

function entry(path) {
  let it = documents.get(path);
  if (!it) {
    it = { data: undefined, fault: undefined, watchers: new Set(), fetching: null, stale: true };
    documents.set(path, it);
    for (const [old, { watchers, fetching }] of documents) {
      if (documents.size <= most) break;
      if (old !== path && watchers.size === 0 && !fetching) documents.delete(old);
    }
  }
  return it;
}

async function fetchWhileStale(path, it) {
  while (it.stale) {
    it.stale = false;
    try {
      it.data = await get(path);
      it.fault = undefined;
      if (path === '/api/book' && it.data.revision < heard) refresh();
    } catch (fault) {
      // What is here stays in view, with what she has half done in it; a sign above it says that it may be old.
      if (it.data === undefined || !['page.offline', 'web.not-paired'].includes(fault.code)) it.fault = fault;
    }
  }
  it.fetching = null;
  for (const watch of [...it.watchers]) watch();
}

const fetchInto = (path, it) => (it.fetching ??= fetchWhileStale(path, it));

/** Asks for a document that is about to be wanted; gives it, or undefined where it cannot be had. */
export async function expect(path) {
  const it = entry(path);
  await (it.stale ? fetchInto(path, it) : it.fetching);
  return it.data;
}

/** Hook: { data, fault } of a document; path null asks for nothing. */
export function useDocument(path) {
  const [, redraw] = useState(0);
  const [held, hold] = useState({ path, data: undefined });
  useEffect(() => {
    if (!path) return undefined;
    const it = entry(path);
    const watch = () => {
      redraw((n) => n + 1);
      hold({ path, data: it.data });
    };
    it.watchers.add(watch);
    if (it.stale) fetchInto(path, it);
    else watch();
    return () => it.watchers.delete(watch);
  }, [path]);
  if (!path) return {};
  const it = documents.get(path);
  // While another document of the same kind is on its way the last one stays in view, so
  // that a stepper does not make the page flicker; `waiting` says so.
  return {
    data: it?.data ?? (held.path === path ? held.data : undefined),
    last: held.data,
    fault: it?.fault,
    waiting: !it || (it.data === undefined && !it.fault),
  };
}

const leaving = new Set(); // what is being deleted: news of it may come before the answer

/** What is gone from the book is not asked for again. */
function letGo(path) {
  for (const one of [...documents.keys()]) if (one.startsWith(path)) documents.delete(one);
}

/** Everything that is in view is fetched again; what is not, when it comes into view. */
export async function refresh() {
  const done = taps.value.filter((one) => one.done);
  const inView = [];
  for (const [path, it] of documents) {
    if ([...leaving].some((gone) => path.startsWith(gone))) continue;
    it.stale = true;
    if (it.watchers.size > 0) inView.push(fetchInto(path, it));
    else if (!it.fetching) documents.delete(path);
  }
  await Promise.all(inView);
  if (done.length > 0) forget(done);
}

// ---- changes ---------------------------------------------------------------------------

/** The last thing said: { text, undo, fault }; it stays until the next one or a dismissal. */
export const said = cell(null);

export const say = (text, more = {}) => said.set({ text, ...more });
export const sayFault = (fault) => {
  if (fault.name !== 'AbortError') said.set({ fault });
};

/**
 * Changes the book. On success everything in view is fetched again and `done` (words, or a
 * function of the answer) is said with an Undo; a fault is thrown, and said unless `quiet`.
 * With `keep` it waits on the device while the program cannot be reached, and `done` are
 * words; the answer is { kept: true } then. `look`: where she can look at it, should it be refused later.
 */
export async function change(method, path, body, { done, quiet = false, undo = true, keep = false, look } = {}) {
  if (method === 'DELETE') leaving.add(path);
  try {
    const answer = await (keep ? tap(method, path, body, done, look) : call(method, path, body));
    if (answer.kept) {
      said.set(null); // the sign above the view says that it waits
      return answer;
    }
    if (method === 'DELETE') letGo(path);
    if (done) say(typeof done === 'function' ? done(answer) : done, { undo });
    refresh();
    return answer;
  } catch (fault) {
    if (!quiet) sayFault(fault);
    throw fault;
  } finally {
    leaving.delete(path);
  }
}

/** Takes the last change back, or makes it again, and says which. */
async function journal(verb) {
  const what = documents.get('/api/book')?.data?.[verb]?.what;
  try {
    const answer = await call('POST', `/api/${verb}`, {});
    say(what ? t(`${verb}.done`, { what: translated(what) }) : answer.done, { redo: verb === 'undo' });
    refresh();
  } catch (fault) {
    sayFault(fault);
  }
}
export const undo = () => journal('undo');
export const redo = () => journal('redo');

// ---- news from other devices -------------------------------------------------------------

/** Sends the taps that wait on this device. */
const sendLater = async (sending = send()) => {
  if (await sending > 0) refresh();
};

export function listen() {
  sendLater(remember());
  setInterval(() => taps.value.some((one) => one.kept && !one.fault) && sendLater(), 4000);
  const news = new EventSource('/api/events');
  let missed = false;
  news.addEventListener('change', (event) => {
    heard = Math.max(heard, JSON.parse(event.data).revision);
    // Before the book has come, what is on its way is compared when it is here.
    const known = documents.get('/api/book')?.data?.revision;
    if (known !== undefined && heard > known) refresh();
  });
  news.addEventListener('open', () => {
    offline.set(false);
    if (missed) refresh();
    missed = false;
    sendLater();
  });
  news.addEventListener('error', () => {
    missed = true;
  });
}
