// The catalogue of words: t('key', { values }). Words live in LANGUAGE.js, which the page
// starts with, and in LANGUAGE-AREA.js, fetched with the late views that use them; each is
// `export default { key: words with {values} to fill in, or a function }`. English starts
// with the page; another language is fetched when the book asks for it.
import en from './en.js';

export const languages = { en: 'English', de: 'Deutsch' };

let current = 'en';
let words = en;
let colours = null; // the program's names of colours and kinds, where the page speaks another language
let sayings = null; // what the program says with names and figures in it, the same: { list, words }
const learnt = new Set();

export const language = () => current;

/** For numbers and dates: the browser's own region where it speaks the page's language. */
export const locale = () => [...(navigator.languages ?? [])].find((one) => one.startsWith(current))
  ?? { en: 'en-GB', de: 'de-DE' }[current];

const fetched = async (file) => (await import(`./${file}.js`)).default;
const start = (spoken) => (spoken === 'en' ? en : fetched(spoken));

/** Fetches the words of an area, which later() does together with its view. */
export async function learn(area) {
  learnt.add(area);
  const spoken = current;
  const more = await fetched(`${spoken}-${area}`);
  // The language may have changed meanwhile: then speak() has fetched this area too.
  if (spoken === current) words = { ...words, ...more };
}

let wish = current; // the last language asked for: an earlier one that comes late is let go

/** Turns to another language; true when there is something to draw anew. */
export async function speak(wanted) {
  const next = wanted in languages ? wanted : 'en';
  wish = next;
  if (next === current) return false;
  const other = next !== 'en';
  const [first, names, said] = await Promise.all([start(next), other && fetched(`colours-${next}`), other && import(`./said-${next}.js`)]);
  const parts = new Map([['', first]]);
  // Areas may be learnt while others are on their way.
  for (let missing; (missing = [...learnt].filter((area) => !parts.has(area))).length > 0;)
    await Promise.all(missing.map(async (area) => parts.set(area, await fetched(`${next}-${area}`))));
  if (wish !== next) return false;
  current = next;
  colours = names;
  sayings = said && { list: said.default.map(([pattern, words]) => [new RegExp(`^(?:${pattern})$`), words]), words: said.words };
  words = Object.assign({}, ...parts.values());
  document.documentElement.lang = next;
  return true;
}

/** What went wrong by its code, [what it is, how to mend it], in a language that is not the
 *  program's own (ui/text/faults-LANGUAGE.js); null where the program's words have to do. */
export const faultWords = async (code) => {
  if (current === 'en') return null;
  const words = await fetched(`faults-${current}`).catch(() => ({}));
  return Object.hasOwn(words, code) ? words[code] : null;
};

/** What the catalogue says of its designs, by design, in a language that is not the program's
 *  own (ui/text/designs-LANGUAGE.js); null where the program's words stand. */
export const designWords = async () => (current === 'en' ? null : fetched(`designs-${current}`).catch(() => null));

/** A value in a saying: a figure with our comma, a word or a number of things in our words. */
const valueWords = (value = '') => value.replace(/^\d+\.\d+$/, (figure) => figure.replace('.', ','))
  .replace(/^(\d+ )?([a-z]+)$/, (all, n = '', word) => (Object.hasOwn(sayings.words, word) ? n + sayings.words[word] : all));

/** What the program says, with its names and figures, in a language that is not its own; null
 *  where it has to stand as it is (and always in English). */
export function inWords(text) {
  for (const [pattern, words] of sayings ? sayings.list : []) {
    const values = pattern.exec(text ?? '');
    if (values) return words.replace(/\$(\d)/g, (_, i) => valueWords(values[i]));
  }
  return null;
}

/** The same, or as the program says it. */
export const translated = (text) => inWords(text) ?? text;

export function t(key, values = {}) {
  const entry = words[key];
  if (entry === undefined) return key;
  if (typeof entry === 'function') return entry(values);
  return entry.replace(/\{(\w+)\}/g, (_, name) => values[name] ?? '');
}

export const has = (key) => words[key] !== undefined;

/** A kind of block, as the catalogue or the maker of the design calls it. */
export const kindWords = (kind) => (colours && Object.hasOwn(colours.kinds, kind) ? colours.kinds[kind] : kind);

/** A colour by the program's name for it, in the language of the page. */
function colourWords(name) {
  const [, how = '', hue] = /^((?:very dark|dark|pale|light|dusty|bright) )?(.*)$/.exec(name);
  const { [name]: whole, [hue]: noun } = colours.words;
  if (name.startsWith('greenish ')) return `${colourWords(name.slice(9))}, ${colours.greenish}`; // of two of one name
  return whole ?? (noun ? (colours.how[how] ?? '') + noun : name);
}

/** What is typed, as the program knows it where it is a colour. */
export function asColour(typed) {
  const word = typed.toLowerCase();
  return (colours && Object.entries(colours.words).find(([, local]) => local.toLowerCase() === word)?.[0]) ?? typed;
}

/** A document with colours named in the language of the page: those of measured colours, and
 *  of fabrics that she has not named, which the program calls by colour and number. */
export function named(document) {
  if (!colours || typeof document !== 'object' || document === null) return document;
  for (const one of Object.values(document)) named(one);
  const { name, fabric } = document;
  if (typeof name !== 'string') return document;
  if ('fabric' in document && fabric !== null) {
    const [, colour, number] = /^(.+) (\d+)$/.exec(name) ?? [];
    if (number === String(fabric)) document.name = `${colourWords(colour)} ${number}`;
  } else if ('srgb' in document) document.name = colourWords(name);
  return document;
}
