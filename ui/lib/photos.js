// Photos on their way in: sent, measured, told about, and stopped when she wants. They live
// outside the views, so that going to look at the basket loses nothing.
import { cell, keptCell } from './cell.js';
import { Fault, change, get, refresh, say, sayFault } from './book.js';
import { awayFault, unpaired } from './call.js';
import { go, route } from './route.js';
import { inStore, newKey } from './store.js';
import { t } from '../text/text.js';

/** [{ id, name, done, doing, fault, stop() }], oldest first; `id` is also the key under which the
 *  photo is kept on this device until the program has measured it. */
export const uploads = cell([]);

/** Where the fabric comes from: asked once, remembered, never required. */
export const source = keptCell('source', '');

const largest = 32 * 1024 * 1024;

const update = (id, more) => uploads.set((all) => all.map((one) => (one.id === id ? { ...one, ...more } : one)));
export const forget = (id) => {
  uploads.set((all) => all.filter((one) => one.id !== id));
  return inStore('photos', 'readwrite', (all) => all.delete(id));
};

const out = () => new Fault({ code: 'page.unpaired', message: t('unpaired'), hint: t('photo.unpaired') });
// What cannot be fetched because the device is let in no more is not away.
const away = () => (unpaired.value ? out() : awayFault());

/** The photo as the program takes it: as it is, or drawn again here; what cannot be, is refused
 *  with words how to mend it. `onWork` hears that it takes a moment. */
async function ready(file, onWork) {
  if (file.size === 0) throw new Fault({ code: 'page.photo-empty', message: t('photo.empty'), hint: t('photo.empty.hint') });
  const { isHeic, needs, shrink } = await import('./shrink.js').catch(() => { throw away(); });
  if (!await needs(file, largest)) return file;
  onWork();
  const smaller = await shrink(file);
  if (smaller) return smaller;
  if (/\.hei[cf]$/i.test(file.name) || /hei[cf]/.test(file.type) || await isHeic(file)) {
    throw new Fault({ code: 'page.heic', message: t('photo.heic'), hint: t('photo.heic.hint') });
  }
  // The program says best what is wrong with what it can take but not read.
  if (file.size <= largest) return file;
  throw new Fault({
    code: 'page.photo-large',
    message: t('photo.large', { mb: Math.round(file.size / 1024 / 1024) }),
    hint: t('photo.large.hint'),
  });
}

/** Sends the bytes; fetch() cannot tell how far it is, XMLHttpRequest can. */
function send(path, file, fields, onPart, whenStoppable) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open('PUT', `${path}?${new URLSearchParams({ name: file.name, ...fields })}`);
    request.setRequestHeader('Content-Type', file.type || 'application/octet-stream');
    request.responseType = 'json';
    request.upload.addEventListener('progress', (e) => {
      if (e.lengthComputable) onPart(e.loaded / e.total);
    });
    request.addEventListener('load', () => {
      if (request.status >= 200 && request.status < 300) resolve(request.response);
      else if (request.status === 401) {
        unpaired.set(true);
        reject(out());
      } else {
        reject(new Fault(request.response?.error
          ?? { code: `http.${request.status}`, message: t('fault.odd'), hint: t('fault.odd.hint') }));
      }
    });
    request.addEventListener('error', () => reject(away()));
    request.addEventListener('abort', () => reject(new DOMException('', 'AbortError')));
    whenStoppable(() => request.abort());
    request.send(file);
  });
}

const odd = () => new Fault({ code: 'page.job', message: t('fault.odd'), hint: t('fault.odd.hint') });

/** Follows a job to its end: resolves with its result. While the network is away it waits. */
export function follow(job, onProgress = () => {}, whenStoppable = () => {}) {
  const path = `/api/jobs/${encodeURIComponent(job)}`;
  return new Promise((resolve, reject) => {
    let news;
    let over = false;
    const end = (settle, value) => {
      over = true;
      news.close();
      settle(value);
    };
    const read = (event) => {
      try {
        return JSON.parse(event.data);
      } catch {
        return {};
      }
    };
    const listen = () => {
      if (over) return;
      news = new EventSource(`${path}/events`);
      news.addEventListener('progress', (e) => onProgress(read(e)));
      news.addEventListener('done', (e) => end(resolve, read(e).result ?? {}));
      news.addEventListener('failed', (e) => {
        const { error } = read(e);
        end(reject, error ? new Fault(error) : odd());
      });
      news.addEventListener('error', async () => {
        // The line was cut. The browser tries again by itself unless it has given up, and
        // a job that ended meanwhile is asked for its end.
        try {
          const state = await get(path);
          if (state.error) end(reject, new Fault(state.error));
          else if (state.result) end(resolve, state.result);
          else if (news.readyState === EventSource.CLOSED) listen();
        } catch (fault) {
          if (fault.code !== 'page.offline') end(reject, fault);
          else if (news.readyState === EventSource.CLOSED) setTimeout(listen, 2000);
        }
      });
    };
    listen();
    whenStoppable(() => {
      end(reject, new DOMException('', 'AbortError'));
      change('DELETE', path, undefined, { quiet: true }).catch(() => {});
    });
  });
}

/** Sends one photo to a path and follows what is made of it; resolves with the result. */
export async function photograph(path, file, onProgress, whenStoppable) {
  const fit = await ready(file, () => onProgress({ done: 0, doing: t('photo.shrinking') }));
  const { job } = await send(path, fit, {}, (part) => onProgress({ done: part * 0.15 }), whenStoppable);
  let most = 0;
  return follow(job, ({ done, doing }) => {
    most = Math.max(most, done ?? 0);
    onProgress({ done: 0.15 + 0.85 * most, doing });
  }, whenStoppable);
}

/** One photo on its way: { key, at, file, corners, job }; with a job the program has it already. */
async function bring(photo) {
  const { key: id, file, corners } = photo;
  const is = () => uploads.value.some((one) => one.id === id);
  if (!is()) return; // stopped while it waited
  const whenStoppable = (stop) => update(id, { stop });
  let fit = file;
  try {
    if (!photo.job) {
      fit = await ready(file, () => update(id, { doing: t('photo.shrinking') }));
      if (!is()) return; // stopped while it was drawn
      update(id, { doing: t('photo.sending') });
      const fields = source.value ? { source: source.value, ...corners } : corners;
      const { job } = await send('/api/photos', fit, fields, (part) => update(id, { done: part * 0.15 }), whenStoppable);
      photo.job = job;
      inStore('photos', 'readwrite', (all) => all.put({ ...photo, file: fit }));
    }
    let most = 0; // each stage counts from nought; what is sewn stays sewn
    const result = await follow(photo.job, ({ done, doing }) => {
      most = Math.max(most, done ?? 0);
      update(id, { done: 0.15 + 0.85 * most, doing: doing || t('photo.measuring') });
    }, whenStoppable);
    forget(id);
    refresh();
    const got = result.photos?.[0] ?? result;
    const measured = got.photo?.id;
    say(t('photo.found', { n: got.scraps?.length ?? 0 }), { undo: true });
    if (measured !== undefined && route.value[0] === 'scraps' && uploads.value.length === 0) {
      go('scraps', String(measured));
    }
  } catch (fault) {
    if (fault.name === 'AbortError') {
      forget(id);
      say(t('photo.stopped'));
    } else if (fault instanceof Fault) update(id, { fault, file: fit });
    else {
      forget(id);
      sayFault(fault);
    }
  }
}

let queue = Promise.resolve();

/** Puts a photo in the list and in the queue behind the others. */
function line(photo) {
  const { key: id, file } = photo;
  uploads.set((all) => [...all, {
    id, name: file.name, done: 0, doing: t('photo.queued'), fault: null, stop: () => forget(id),
  }]);
  queue = queue.then(() => bring(photo));
}

/** A photo that has come now; where there is no room to keep it, it lasts as long as the page. */
function take(file, corners = {}) {
  const photo = { key: newKey(), at: Date.now(), file, corners };
  inStore('photos', 'readwrite', (all) => all.put(photo));
  line(photo);
}

// Pages of one browser share what is kept: each asks the others before it takes up a photo.
const others = new BroadcastChannel('motley.photos');
const answers = new Set();
others.addEventListener('message', ({ data }) => {
  if (data.mine) data.mine.forEach((key) => answers.add(key));
  else others.postMessage({ mine: uploads.value.map((one) => one.id) });
});

/** Takes up the photos that were on their way when the page was last left. */
export async function takeUp() {
  const kept = await inStore('photos', 'readonly', (all) => all.getAll()) ?? [];
  if (kept.length === 0) return;
  others.postMessage({ whose: true });
  await new Promise((resolve) => { setTimeout(resolve, 300); });
  for (const photo of kept.sort((a, b) => a.at - b.at)) {
    if (answers.has(photo.key) || uploads.value.some((one) => one.id === photo.key)) continue;
    // The program may have been started anew since, and know nothing of it.
    if (photo.job) await get(`/api/jobs/${encodeURIComponent(photo.job)}`).catch(() => { photo.job = undefined; });
    line(photo);
  }
}

/** Without a card: the photo that failed once more, by the corners of a sheet ("x,y x,y x,y
 * x,y" in its pixels) and that sheet's size. */
export function bringByCorners({ id, file }, corners_px, size) {
  forget(id);
  take(file, { corners_px, size });
}

/** Brings a photo that could not be sent once more. */
export function again({ id, file }) {
  forget(id);
  take(file);
}

/** Brings the photos in one after the other; all stand in the list at once. */
export function bringAll(files) {
  for (const file of files) take(file);
}
