// Lengths, areas, counts and dates as a maker reads them. Documents give decimal inches;
// an inch is 25.4 mm exactly, so both systems come back from the decimals unharmed.
import { locale, t } from '../text/text.js';

const glyphs = {
  '1/2': '½', '1/4': '¼', '3/4': '¾', '1/8': '⅛', '3/8': '⅜', '5/8': '⅝', '7/8': '⅞',
};
const sup = [...'⁰¹²³⁴⁵⁶⁷⁸⁹'];
const sub = [...'₀₁₂₃₄₅₆₇₈₉'];
const digits = (n, set) => [...String(n)].map((d) => set[d]).join('');

/** 11/16 as one piece: a ready glyph where there is one, else raised and lowered digits. */
const fraction = (top, bottom) => glyphs[`${top}/${bottom}`]
  ?? `${digits(top, sup)}⁄${digits(bottom, sub)}`;

/** A number in whole and fraction to the nearest 1/bottom: 1.5 -> "1½". */
export function mixed(value, bottom = 8) {
  const sign = value < 0 ? '−' : '';
  let parts = Math.round(Math.abs(value) * bottom);
  const whole = Math.floor(parts / bottom);
  parts -= whole * bottom;
  while (parts > 0 && parts % 2 === 0 && bottom > 1) {
    parts /= 2;
    bottom /= 2;
  }
  if (parts === 0) return sign + whole;
  return sign + (whole || '') + fraction(parts, bottom);
}

const close = (a, b) => Math.abs(a - b) < 1e-4;

/** The coarsest of halves to 64ths that hits the value, or eighths when none does. */
const bottomFor = (value) => [1, 2, 4, 8, 16, 32, 64].find(
  (bottom) => close(Math.round(value * bottom), value * bottom),
) ?? 8;

// A formatter takes longer to make than to use a hundred times: each is made once.
const formatters = new Map();
function formatted(Kind, value, options) {
  const key = `${Kind.name} ${locale()} ${JSON.stringify(options)}`;
  if (!formatters.has(key)) formatters.set(key, new Kind(locale(), options));
  return formatters.get(key).format(value);
}

// A whole number of up to three figures is written the same in both languages, and the first
// formatter takes a browser 15 ms: most views do without.
const short = (n) => Number.isInteger(n) && n >= 0 && n < 1000;

const decimal = (value, places) => (short(value) ? String(value) : formatted(Intl.NumberFormat, value, { maximumFractionDigits: places }));

/** Without its unit: "72", "6½", "18.4". */
export function bare(inches, system, { exact = false } = {}) {
  if (system === 'metric') return decimal(inches * 2.54, exact ? 2 : 1);
  return mixed(inches, exact ? bottomFor(inches) : 8);
}

const held = '\u00a0'; // a figure and its unit stay on one line

const name = (system) => t(system === 'metric' ? 'unit.cm' : 'unit.in');

export const long = (inches, system, more) => `${bare(inches, system, more)}${held}${name(system)}`;

/** A unit keeps the system that it was made in: 2½ in stays so, 50 mm stays 50 mm. */
export function unit(inches) {
  const mm = inches * 25.4;
  const bottom = bottomFor(inches);
  if (close(inches * bottom, Math.round(inches * bottom)) && bottom <= 16) return `${mixed(inches, bottom)}${held}${t('unit.in')}`;
  if (close(mm, Math.round(mm))) return `${Math.round(mm)}${held}${t('unit.mm')}`;
  return `${mixed(inches, 64)}${held}${t('unit.in')}`;
}

/** The same as she would type it, "2 1/2 in", which the server reads back without loss. */
export function unitText(inches) {
  const bottom = bottomFor(inches);
  if (!close(inches * bottom, Math.round(inches * bottom))) return `${Math.round(inches * 25.4 * 1000) / 1000} mm`;
  const parts = Math.round(inches * bottom);
  const words = [Math.floor(parts / bottom) || '', parts % bottom ? `${parts % bottom}/${bottom}` : ''].filter(Boolean);
  return `${words.join(' ') || '0'} in`;
}

/** A length in the program's words, "7.5 mm", as her language writes it; before three digits,
 *  where a comma could part thousands, it stays as it is, for it may be sent back. */
export const asWritten = (text) => text.replace(/(\d+)\.(\d+)/g, (all, whole, part) => (
  (part.length === 3 && Number(whole) > 0) || !decimal(0.5, 1).includes(',') ? all : `${whole},${part}`));

/** What something is off by: in thirty-seconds of an inch or tenths of a millimetre; '' for
 *  less than that. */
export function fine(inches, system) {
  if (system === 'metric') {
    const tenths = Math.round(Math.abs(inches) * 254);
    return tenths ? `${decimal(tenths / 10, 1)}${held}mm` : '';
  }
  const off = Math.round(Math.abs(inches) * 32) / 32;
  return off ? `${mixed(off, 32)}${held}${name('inches')}` : '';
}

export const size = ([across, down], system, more) => `${bare(across, system, more)} × ${bare(down, system, more)}${held}${name(system)}`;

export const area = (squareInches, system) => {
  const value = system === 'metric' ? squareInches * 2.54 * 2.54 : squareInches;
  return t(system === 'metric' ? 'area.cm' : 'area.in', { n: decimal(value, value < 10 ? 1 : 0) });
};

/** Metres as a shop cuts them: 1.10. */
export const metres = (n) => formatted(Intl.NumberFormat, n, { minimumFractionDigits: 2, maximumFractionDigits: 2 });

export const count = (n) => decimal(n ?? 0, 3);

/** A share of one in whole per cent; a little is "under 1 %", never "0 %". */
export const share = (part) => {
  const percent = part * 100;
  if (percent > 0 && percent < 1) return t('share.little');
  return t('share', { n: Math.round(percent) });
};

/** Exact as 413; inferred as "about 40". */
export const squares = (n, exact) => (exact ? count(n) : t('about', { n: count(n) }));

/** Where there is little room the month is "short". */
export const day = (text, month = 'long') => {
  if (!text) return '';
  const when = new Date(typeof text === 'number' ? text * 1000 : text);
  if (Number.isNaN(when.valueOf())) return String(text);
  return formatted(Intl.DateTimeFormat, when, { day: 'numeric', month, year: 'numeric' });
};

export const month = (text) => {
  const [year, number] = String(text).split('-').map(Number);
  return formatted(Intl.DateTimeFormat, new Date(Date.UTC(year, (number || 1) - 1, 15)), { month: 'short', year: 'numeric', timeZone: 'UTC' });
};
