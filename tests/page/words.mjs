// What the page says, without a browser: the catalogues of words against the views that use
// them and against each other, and amounts as each language writes them. Prints TAP.
//
//   node tests/page/words.mjs
import { readFileSync, readdirSync } from 'node:fs';
import { posix } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, finish, same, test } from './browser.mjs';

// The catalogue and the amounts are plain modules; they ask the browser for its language.
const region = { languages: ['en-GB', 'de-AT'] };
Object.defineProperty(globalThis, 'navigator', { value: region });
globalThis.document = { documentElement: {} };
const amount = await import('../../ui/lib/amount.js');
const { asColour, inWords, learn, named, speak, t, translated } = await import('../../ui/text/text.js');

const ui = fileURLToPath(new URL('../../ui/', import.meta.url));
const own = readdirSync(ui, { recursive: true }).filter((name) => name.endsWith('.js') && !name.startsWith('vendor/'));
const speaking = own.filter((name) => !name.startsWith('text/'));
const read = (name) => readFileSync(ui + name, 'utf8');

const start = ''; // the area that the page starts with
const catalogues = { en: new Map(), de: new Map() };
for (const name of own) {
  const [, language, area] = /^text\/(en|de)(?:-(\w+))?\.js$/.exec(name) ?? [];
  if (language) catalogues[language].set(area ?? start, (await import(`../../ui/${name}`)).default);
}
const keysOf = (language) => [...catalogues[language].values()].flatMap(Object.keys);

/** A module and all that it imports at its head. */
function closure(first) {
  const found = [first];
  for (const name of found)
    for (const [, path] of read(name).matchAll(/^(?:import|export)\b[^;]*?['"](\.{1,2}\/[^'"]+)['"]/gm)) {
      const next = posix.join(posix.dirname(name), path);
      if (!found.includes(next)) found.push(next);
    }
  return found.filter((name) => speaking.includes(name));
}

/** The keys that a template may make: mend.how.${tool}${later ? '.second' : ''}. */
const likeness = (form) => new RegExp(`^${form.split(/\$\{[^}]*\}/).map((part) => part.replaceAll('.', '\\.')).join('.*')}$`);

/** Keys that a module asks for by name, and patterns of those that it puts together. */
function asked(name) {
  const text = read(name);
  const keys = [];
  const patterns = [];
  for (const [, key] of text.matchAll(/(?<![.\w])(?:t|has)\('([\w.]+)'/g)) keys.push(key);
  for (const [, one, other] of text.matchAll(/\bt\([^()'`]*\? '([\w.]+)' : '([\w.]+)'/g)) keys.push(one, other);
  for (const [, form] of text.matchAll(/(?<![.\w])(?:t|has)\(`([^`]*)`/g))
    patterns.push(likeness(form));
  return { keys, patterns };
}

const views = []; // of each late view: where it is asked for, its module, its area of words
for (const name of speaking)
  for (const [, path, area] of read(name).matchAll(/later\(\(\) => import\('([^']+)'\)[^;]*?\)(?:, '(\w+)')?\);/g))
    views.push({ by: name, module: posix.join(posix.dirname(name), path), area });
const atOnce = closure('main.js');

await test('the_words_that_the_page_starts_with_are_enough_for_its_first_view', () => {
  for (const name of atOnce)
    for (const key of asked(name).keys) expect(key in catalogues.en.get(start), `'${key}' of ${name} is not in ui/text/en.js`);
});

await test('every_late_view_comes_with_all_of_its_words', () => {
  expect(views.length > 10, `${views.length} late views found`);
  for (const { module, area } of views) {
    expect(!area || catalogues.en.has(area), `${module} asks for words of '${area}'`);
    const words = { ...catalogues.en.get(start), ...catalogues.en.get(area) };
    for (const name of closure(module).filter((one) => !atOnce.includes(one))) {
      const { keys, patterns } = asked(name);
      for (const key of keys) expect(key in words, `'${key}' of ${name} is neither in en.js nor in en-${area}.js`);
      for (const pattern of patterns) expect(Object.keys(words).some((key) => pattern.test(key)), `nothing in en.js or en-${area}.js is like ${pattern} of ${name}`);
    }
  }
});

await test('no_word_is_there_twice_or_for_nothing', () => {
  for (const language of Object.keys(catalogues)) {
    const keys = keysOf(language);
    same(keys.filter((key, i) => keys.indexOf(key) !== i), [], `keys of ${language} that are there twice`);
  }
  const text = speaking.map(read).join('\n');
  // Here every template that begins like a key counts, also one that reaches t() by a variable.
  const patterns = [...text.matchAll(/`((?:[a-z]+\.)+\$\{[^`]*|\$\{\w+\}(?:\.[a-z]+)+)`/g)].map(([, form]) => likeness(form));
  same(keysOf('en').filter((key) => !text.includes(`'${key}'`) && !patterns.some((pattern) => pattern.test(key))), [], 'keys that nothing asks for');
});

await test('german_says_everything_that_english_says', () => {
  same([...catalogues.de.keys()].sort(), [...catalogues.en.keys()].sort(), 'areas');
  for (const [area, english] of catalogues.en) {
    const german = catalogues.de.get(area);
    same(Object.keys(german).sort(), Object.keys(english).sort(), `keys of the area '${area}'`);
    for (const [key, words] of Object.entries(english)) {
      const places = (said) => [...new Set(said.match(/\{\w+\}/g) ?? [])].sort();
      if (typeof words === 'string' && typeof german[key] === 'string') same(places(german[key]), places(words), `what is filled in, in '${key}'`);
    }
  }
});

await test('every_error_of_the_program_has_words_in_german', async () => {
  const table = readFileSync(fileURLToPath(new URL('../../src/base/error.h', import.meta.url)), 'utf8');
  const english = new Map([...table.matchAll(/\bX\(\w+, "([^"]+)", \d,((?:[\s\\]*"(?:[^"\\]|\\.)*")+)\)/g)]
    .map(([, code, hint]) => [code, [...hint.matchAll(/"((?:[^"\\]|\\.)*)"/g)].map(([, part]) => part).join('')]));
  expect(english.size > 100, `${english.size} codes found`);
  const { default: german } = await import('../../ui/text/faults-de.js');
  same(Object.keys(german).sort(), [...english.keys()].sort(), 'codes');
  for (const [code, [what, how, ...more]] of Object.entries(german)) {
    expect(/^[A-ZÄÖÜ].*\.$/.test(what) && /\.$/.test(how) && more.length === 0, `${code}: two things in whole sentences`);
    expect(how !== english.get(code), `${code} is left in English`);
  }
});

await test('every_design_of_the_catalogue_is_described_in_german', async () => {
  const designs = readdirSync(new URL('../../designs/', import.meta.url)).filter((name) => name.endsWith('.design')).map((name) => name.replace('.design', ''));
  const { default: german } = await import('../../ui/text/designs-de.js');
  same(Object.keys(german).sort(), designs.sort(), 'designs');
  const kinds = designs.flatMap((name) => [...readFileSync(new URL(`../../designs/${name}.design`, import.meta.url), 'utf8').matchAll(/^block +(\S+)/gm)].map(([, kind]) => kind));
  const { default: names } = await import('../../ui/text/colours-de.js');
  same(Object.keys(names.kinds).sort(), [...new Set(kinds)].sort(), 'kinds of blocks');
});

await test('what_the_program_says_with_values_in_it_is_said_in_german', async () => {
  // Every text of the program's own sources, with a value for each place that is filled in.
  const verbs = ['Took the cross off', 'Took the pin off', 'Pinned', 'Crossed off', 'The book']; // of which one is filled in as well
  const src = fileURLToPath(new URL('../../src/', import.meta.url));
  const texts = readdirSync(src, { recursive: true }).filter((name) => /\.[ch]$/.test(name)).flatMap((name) => [...readFileSync(src + name, 'utf8')
    .replace(/" (PRId64|G_GSIZE_FORMAT) "/g, 'd').replace(/%" (PRId64|G_GSIZE_FORMAT)/g, '%d"').replace(/"\s*\n\s*"/g, '').matchAll(/"((?:[^"\\\n]|\\.)+)"/g)].map(([, text]) => text));
  const filled = texts.flatMap((text) => ['7', '12 squares', ...verbs].map((words) => text.replaceAll('\\"', '"').replace(/%[.\d]*[a-z]/g, (place) => (/[sz]$/.test(place) ? words : '7')).replaceAll('%%', '%')));
  const { default: german } = await import('../../ui/text/said-de.js');
  const missing = [];
  for (const [pattern, words] of german) {
    const is = new RegExp(`^(?:${pattern})$`);
    const values = filled.map((text) => is.exec(text)).find(Boolean);
    if (!values) missing.push(pattern);
    else for (const [, i] of words.matchAll(/\$(\d)/g)) expect(values[i] !== undefined, `${words}: $${i} of ${pattern}`);
  }
  same(missing, [], 'said here, and never by the program');
  await speak('de');
  same([translated('Put 12 squares into the basket'), translated('Row 3, column 4 is crossed off already.'), translated('The scrap is 7.5 in long.'), inWords('Zig')],
    ['12 Quadrate in den Korb gelegt', 'Reihe 3, Spalte 4 ist schon abgehakt.', 'Der Rest ist 7,5 in lang.', null], 'in German');
  await speak('en');
  same(translated('Put 12 squares into the basket'), 'Put 12 squares into the basket', 'in English');
});

await test('what_is_said_bends_with_its_values_in_each_language', () => {
  // Whatever a function is given, it says words: values as the views give them.
  const values = { n: 1, of: 2, row: 1, column: 2, parts: ['1', '2'], squares: 3, passes: 1, turns: 1, minutes: 2, turn: 1, lay_s: 1.5, cut_s: 1, turn_s: 1, handle_s: 1, piles: 1 };
  for (const [language, areas] of Object.entries(catalogues))
    for (const words of areas.values())
      for (const [key, said] of Object.entries(words)) {
        if (typeof said !== 'function') continue;
        for (const n of [1, 2]) expect(!/NaN|\[object/.test(said({ ...values, n })) && said({ ...values, n }).length > 0, `'${key}' in ${language}: ${said({ ...values, n })}`);
      }
});

await test('every_word_that_a_maker_reads_is_in_the_catalogue', () => {
  for (const name of speaking) {
    const templates = [...read(name).matchAll(/html`[^]*?`/g)].map(([template]) => template);
    // Words between tags of a template: letters that no ${...} surrounds.
    const bare = templates.flatMap((template) => [...template.matchAll(/>([^<>${}`]*[A-Za-z]{3,}[^<>${}`]*)</g)].map(([, words]) => words.trim()));
    // Words in what is read out or shown beside.
    const told = templates.flatMap((template) => [...template.matchAll(/\b(?:aria-label|aria-description|aria-valuetext|aria-roledescription|title|alt|placeholder)="([^"$]*[A-Za-z]{2,}[^"$]*)"/g)].map(([, words]) => words));
    const said = [...read(name).matchAll(/\b(?:say\(|done: |message: |hint: )(['"`])([A-Z][^'"`]*|[^'"`]* [^'"`]*)\1/g)].map(([, , words]) => words);
    same([...bare, ...told, ...said], [], `words of its own in ${name}`);
  }
});

// ---- amounts: pure, so without a browser -------------------------------------------------------

/** Words as they are set: no line ends where there is a ~. */
const held = (words) => words.replaceAll('~', '\u00a0');

await test('lengths_are_set_with_real_fractions_and_nothing_is_lost', async () => {
  const cases = [
    [amount.mixed(1.5), '1½'], [amount.mixed(0.375), '⅜'], [amount.mixed(72), '72'], [amount.mixed(0), '0'],
    [amount.mixed(2.9999), '3'], [amount.mixed(1.6875, 16), '1¹¹⁄₁₆'],
    [amount.unit(2.5), held('2½~in')], [amount.unit(2), held('2~in')], [amount.unit(50 / 25.4), held('50~mm')], [amount.unit(60 / 25.4), held('60~mm')],
    [amount.unitText(2.5), '2 1/2 in'], [amount.unitText(0.25), '1/4 in'], [amount.unitText(42), '42 in'], [amount.unitText(50 / 25.4), '50 mm'],
    [amount.size([72, 96], 'inches'), held('72 × 96~in')], [amount.size([72, 96], 'metric'), held('182.9 × 243.8~cm')], [amount.size([2.5, 2.5], 'metric', { exact: true }), held('6.35 × 6.35~cm')],
    [amount.share(0.004), held('under~1~%')], [amount.share(0.126), held('13~%')], [amount.squares(413, true), '413'], [amount.squares(40, false), 'about 40'],
  ];
  for (const [got, wanted] of cases) same(got, wanted, 'amount');
});

await test('german_writes_lengths_numbers_and_dates_in_its_own_way', async () => {
  await learn('record');
  expect(await speak('de'), 'there is something to draw anew');
  // The forms are those of DIN 5008 and Duden: comma for decimals, the day before the month;
  // dates and thousands come from the Unicode locale data of the browser's own region.
  same([amount.size([72, 96], 'metric'), amount.unit(2.5), amount.metres(1.5), amount.day('2026-11-27')],
    [held('182,9 × 243,8~cm'), held('2½~Zoll'), '1,50', '27. November 2026'], 'in German');
  region.languages = ['de-DE'];
  same(amount.count(12345), '12.345', 'thousands');
  same(t('record.month'), 'Monat', 'a word of an area that was learnt before');
  expect(await speak('en'), 'and back');
  same([amount.size([72, 96], 'metric'), t('record.month')], [held('182.9 × 243.8~cm'), 'Month'], 'in English');
  same([await speak('xx'), t('basket')], [false, 'Basket'], 'a language that nobody knows');
});

await test('every_colour_that_the_program_names_has_a_german_name', async () => {
  // The names themselves, from the table that gives them.
  const table = readFileSync(new URL('../../src/colour/name.c', import.meta.url), 'utf8');
  const names = [...table.matchAll(/^ {4}\{ "([^"]+)", -?\d/gm)].map(([, name]) => name);
  const how = [...table.slice(table.indexOf('modifier(')).matchAll(/"([a-z ]+ )"/g)].map(([, one]) => one);
  expect(names.length > 60 && how.length === 6, `${names.length} names, ${how.length} words before them`);
  const { default: german } = await import('../../ui/text/colours-de.js');
  same(names.filter((name) => !german.words[name]), [], 'names without German');
  same(how.filter((one) => !german.how[one]), [], 'words before them without German');
  await speak('de');
  same(named({ fabrics: [{ fabric: 12, name: 'very dark teal 12' }, { fabric: 7, name: 'teal 12' }, { fabric: 7, name: 'harbour light' }], colours: [{ name: 'navy', srgb: [1, 2, 3] }] }),
    { fabrics: [{ fabric: 12, name: 'sehr dunkles Petrol 12' }, { fabric: 7, name: 'teal 12' }, { fabric: 7, name: 'harbour light' }], colours: [{ name: 'Marineblau', srgb: [1, 2, 3] }] },
    'a document: what she has named herself stays');
  same(named({ fabric: null, name: 'greenish dark teal', srgb: [0, 87, 75] }).name, 'dunkles Petrol, grünlich', 'the other of two of one name');
  same([asColour('petrol'), asColour('Hafenlicht')], ['teal', 'Hafenlicht'], 'what is looked for');
  await speak('en');
  same(named({ fabric: 12, name: 'teal 12' }).name, 'teal 12', 'in English');
});

finish();
