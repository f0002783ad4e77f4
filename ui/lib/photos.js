// Photos on their way in: sent, measured, told about, and stopped when she wants. They live
// outside the views, so that going to look at the basket loses nothing.
import { cell, keptCell } from './cell.js';
import { Fault, change, get, refresh, say, sayFault } from './book.js';
import { go, route } from './route.js';
import { t } from '../text/text.js';

/** [{ id, name, done, doing, fault, stop() }], oldest first. */
export const uploads = cell([]);

/** Where the fabric comes from: asked once, remembered, never required. */
export const source = keptCell('source', '');

const largest = 32 * 1024 * 1024;
let last = 0;

const update = (id, more) => uploads.set((all) => all.map((one) => (one.id === id ? { ...one, ...more } : one)));
export const forget = (id) => uploads.set((all) => all.filter((one) => one.id !== id));

const away = () => new Fault({ code: 'page.offline', message: t('fault.offline'), hint: t('fault.offline.hint') });

/** The photo as the program takes it: as it is, or drawn again here; what cannot be, is refused
 *  with words how to mend it. `onWork` hears that it takes a moment. */
async function ready(file, onWork) {
  if (file.size === 0) throw new Fault({ code: 'page.photo-empty', message: t('photo.empty'), hint: t('photo.empty.hint') });
  const { needs, shrink } = await import('./shrink.js').catch(() => { throw away(); });
  if (!await needs(file, largest)) return file;
  onWork();
  const smaller = await shrink(file);
  if (smaller) return smaller;
  if (/\.hei[cf]$/i.test(file.name) || /hei[cf]/.test(file.type)) {
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
      else {
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

async function bring(id, file, corners = {}) {
  if (!uploads.value.some((one) => one.id === id)) return; // stopped while it waited
  const whenStoppable = (stop) => update(id, { stop });
  let fit = file;
  try {
    fit = await ready(file, () => update(id, { doing: t('photo.shrinking') }));
    if (!uploads.value.some((one) => one.id === id)) return; // stopped while it was drawn
    update(id, { doing: t('photo.sending') });
    const fields = source.value ? { source: source.value, ...corners } : corners;
    const { job } = await send('/api/photos', fit, fields, (part) => update(id, { done: part * 0.15 }), whenStoppable);
    let most = 0; // each stage counts from nought; what is sewn stays sewn
    const result = await follow(job, ({ done, doing }) => {
      most = Math.max(most, done ?? 0);
      update(id, { done: 0.15 + 0.85 * most, doing: doing || t('photo.measuring') });
    }, whenStoppable);
    forget(id);
    refresh();
    const got = result.photos?.[0] ?? result;
    const photo = got.photo?.id;
    say(t('photo.found', { n: got.scraps?.length ?? 0 }), { undo: true });
    if (photo !== undefined && route.value[0] === 'scraps' && uploads.value.length === 0) {
      go('scraps', String(photo));
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
function line(file, corners) {
  const id = ++last;
  uploads.set((all) => [...all, {
    id, name: file.name, done: 0, doing: t('photo.queued'), fault: null, stop: () => forget(id),
  }]);
  queue = queue.then(() => bring(id, file, corners));
}

/** Without a card: the photo that failed once more, by the corners of a sheet ("x,y x,y x,y
 * x,y" in its pixels) and that sheet's size. */
export function bringByCorners({ id, file }, corners_px, size) {
  forget(id);
  line(file, { corners_px, size });
}

/** Brings a photo that could not be sent once more. */
export function again({ id, file }) {
  forget(id);
  line(file);
}

/** Brings the photos in one after the other; all stand in the list at once. */
export function bringAll(files) {
  for (const file of files) line(file);
}
