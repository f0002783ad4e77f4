// One request to the program and its answer.
import { early } from '../first.js';
import { cell } from './cell.js';
import { named, t } from '../text/text.js';

/** What went wrong, in the program's words; code is stable. */
export class Fault extends Error {
  constructor({ code, message, hint }) {
    super(message);
    this.code = code;
    this.hint = hint;
  }
}

export const offline = cell(false);

/** That the program does not answer. */
export const awayFault = () => new Fault({ code: 'page.offline', message: t('fault.offline'), hint: t('fault.offline.hint') });

/** This device was let in no more while the page was open. */
export const unpaired = cell(false);

const faultFrom = async (response) => {
  try {
    const body = await response.json();
    if (body.error?.message) return new Fault(body.error);
  } catch { /* not a document: say what the status says */ }
  return new Fault({ code: `http.${response.status}`, message: t('fault.odd'), hint: t('fault.odd.hint') });
};

/** `more` goes to fetch(): a signal, headers beside our own. */
export async function call(method, path, body, { headers, ...more } = {}) {
  const request = { method, ...more, headers: { Accept: 'application/json', ...headers } };
  if (body !== undefined) {
    request.body = JSON.stringify(body);
    request.headers['Content-Type'] = 'application/json';
  }
  let response;
  try {
    const begun = method === 'GET' && early.get(path);
    if (begun) early.delete(path);
    response = await (begun || fetch(path, request));
  } catch (cause) {
    if (cause.name === 'AbortError') throw cause;
    offline.set(true);
    throw awayFault();
  }
  offline.set(false);
  unpaired.set(response.status === 401);
  if (!response.ok) throw await faultFrom(response);
  return response.status === 204 ? {} : named(await response.json());
}
