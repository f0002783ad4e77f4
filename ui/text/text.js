// The catalogue of words: t('key', { values }). A second language is a second file like
// en.js; nothing else of the page holds a word that a maker reads.
import { en } from './en.js';

const catalogues = { en };
let current = 'en';

export const language = () => current;

/** For numbers and dates: the browser's own region where it speaks the page's language. */
export const locale = () => [...(navigator.languages ?? [])].find((one) => one.startsWith(current))
  ?? { en: 'en-GB' }[current] ?? current;

export function speak(wanted) {
  current = catalogues[wanted] ? wanted : 'en';
  document.documentElement.lang = current;
}

export function t(key, values = {}) {
  const entry = catalogues[current][key] ?? en[key];
  if (entry === undefined) return key;
  if (typeof entry === 'function') return entry(values);
  return entry.replace(/\{(\w+)\}/g, (_, name) => values[name] ?? '');
}

export const has = (key) => (catalogues[current][key] ?? en[key]) !== undefined;
