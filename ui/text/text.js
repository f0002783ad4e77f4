// The catalogue of words: t('key', { values }). Nothing else of the page holds a word that
// a maker reads. English comes with the page, and with each view that is fetched later.
import { en } from './en.js';

const catalogues = { en: { ...en } };
let current = 'en';

export const language = () => current;

/** For numbers and dates: the browser's own region where it speaks the page's language. */
export const locale = () => [...(navigator.languages ?? [])].find((one) => one.startsWith(current))
  ?? { en: 'en-GB' }[current] ?? current;

export function speak(wanted) {
  current = catalogues[wanted] ? wanted : 'en';
  document.documentElement.lang = current;
}

/** Adds the English words of a view that was fetched later. */
export const learn = (words) => Object.assign(catalogues.en, words);

export function t(key, values = {}) {
  const entry = catalogues[current][key] ?? catalogues.en[key];
  if (entry === undefined) return key;
  if (typeof entry === 'function') return entry(values);
  return entry.replace(/\{(\w+)\}/g, (_, name) => values[name] ?? '');
}

export const has = (key) => (catalogues[current][key] ?? catalogues.en[key]) !== undefined;
