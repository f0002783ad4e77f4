// The pieces that every view is sewn from.
import { html, useEffect, useLayoutEffect, useRef, useState } from './html.js';
import { faultWords, inWords, t } from '../text/text.js';
import { undyed, weave } from './weave.js';

/** A rule between sections: a line of running stitch. */
export const Seam = () => html`<hr class="seam" />`;

/** A figure; what is inferred is underlined with open stitches and says "about". */
export const Figure = ({ text, guess }) => html`<span class=${guess ? 'figure guess' : 'figure'}>${text}</span>`;

/** Progress as a line being sewn. `done` from 0 to 1; null while nobody knows. */
export function Sewing({ done, label, doing, quiet = false }) {
  const part = done === null || done === undefined ? 0 : Math.max(0, Math.min(1, done));
  const thread = useRef();
  useLayoutEffect(() => {
    thread.current.style.width = `${part * 100}%`;
  }, [part]);
  return html`<div class="sewing">
    <div class=${done === null ? 'holes waiting' : 'holes'} role="progressbar" aria-label=${label}
      aria-valuemin="0" aria-valuemax="100" aria-valuenow=${done === null ? undefined : Math.round(part * 100)}
      aria-valuetext=${doing || undefined}>
      <div class="sewn" ref=${thread}></div>
    </div>
    ${doing && html`<p class="doing" aria-live=${quiet ? undefined : 'polite'}>${doing}</p>`}
  </div>`;
}

/** What went wrong: what, what to do, and small underneath the code. Where the page does not
 *  speak the program's language and has no words for these names and figures, the program's own stand there too. */
export function Trouble({ fault, again }) {
  const [words, setWords] = useState(null);
  useEffect(() => {
    let here = true;
    faultWords(fault.code).then((found) => here && setWords(found));
    return () => { here = false; };
  }, [fault.code]);
  const exactly = inWords(fault.message);
  const [what, how] = words ?? [fault.message, fault.hint];
  return html`<div class="trouble" role="alert">
    <p><strong>${exactly ?? what}</strong></p>
    ${how && html`<p>${how}</p>`}
    <p class="code">${words && !exactly && html`<span lang="en">${fault.message}</span> `}${fault.code}</p>
    ${again && html`<button class="plain" onClick=${again}>${t('again')}</button>`}
  </div>`;
}

/** While the first document is on its way: nothing for a moment, then words. */
export function Waiting() {
  const [late, setLate] = useState(false);
  useEffect(() => {
    const timer = setTimeout(() => setLate(true), 400);
    return () => clearTimeout(timer);
  }, []);
  return html`<p class="quiet" role="status" data-waiting>${late && t('waiting')}</p>`;
}

// A browser's own lazy loading asks for three screens of pictures at once, and the one in view
// waits among them; for backgrounds it knows none.
const waits = new WeakMap(); // element -> what shows it
const soon = new IntersectionObserver((entries) => {
  for (const { isIntersecting, target } of entries) {
    if (!isIntersecting) continue;
    soon.unobserve(target);
    waits.get(target)();
  }
}, { rootMargin: '160px' });

/** Hook: whether an element is near the view, or was, so that what it shows is asked for.
 *  `surely`: it does not depend on that. */
export function useNear(ref, surely = false) {
  const [near, come] = useState(false);
  useEffect(() => {
    if (surely || near) return undefined;
    const it = ref.current;
    waits.set(it, () => come(true));
    soon.observe(it);
    return () => soon.unobserve(it);
  }, [surely]);
  return surely || near;
}

/** A picture from the program, asked for when it comes near; while there is none, its place
 *  stays plain paper. `first`: it will be in view, so it is asked for at once. */
export function Picture({ src, first = false, alt = '', ...more }) {
  const ref = useRef();
  const near = useNear(ref, first);
  return html`<img ref=${ref} src=${near ? src : undefined} alt=${alt} ...${more} onError=${(e) => e.currentTarget.classList.add('absent')} />`;
}

const pictures = new Map(); // url -> Image, while the page lives

/** A picture to be painted; null until it is here, and `ready` is called then. */
export function painted(url, ready) {
  let image = pictures.get(url);
  if (!image) {
    image = Object.assign(new Image(), { src: url });
    pictures.set(url, image);
  }
  if (!image.complete) image.addEventListener('load', ready, { once: true });
  return image.complete && image.naturalWidth > 0 ? image : null;
}

export const swatchOf = (fabric) => `/api/fabrics/${encodeURIComponent(fabric)}/swatch.jpg`;

/** A cloth patch: her own picture of the fabric once it comes near, or a plain weave in its
 *  measured colour. */
export function Cloth({ fabric, className = '', label }) {
  const ref = useRef();
  const pictured = Boolean(fabric?.swatch) && (fabric.fabric ?? null) !== null;
  const near = useNear(ref, !pictured);
  useLayoutEffect(() => {
    const { style } = ref.current;
    const [r, g, b] = fabric?.srgb ?? undyed;
    style.backgroundColor = `rgb(${r} ${g} ${b})`;
    style.backgroundImage = near ? `url("${pictured ? swatchOf(fabric.fabric) : weave(fabric?.srgb)}")` : '';
  }, [fabric?.fabric, pictured, near, String(fabric?.srgb)]);
  return html`<span class=${`cloth ${className}`} ref=${ref} role=${label ? 'img' : undefined}
    aria-label=${label} aria-hidden=${label ? undefined : 'true'}></span>`;
}

const fine = matchMedia('(min-resolution: 1.3dppx)');
const night = matchMedia('(prefers-color-scheme: dark)');

/** What a small picture's address ends with: as fine as the screen, and `dark` where both the
 *  page and the picture have a dark scheme. */
export const small = (dark = false) => `/small.png?${new URLSearchParams({ fine: fine.matches, dark: dark && night.matches })}`;

/** One choice of a few, all in view. options: [{ value, words }] */
export function Choice({ name, legend, options, value, onChange, quiet = false }) {
  return html`<fieldset class=${quiet ? 'choice quiet-legend' : 'choice'}>
    <legend>${legend}</legend>
    <div class="chips">${options.map((option) => html`<label key=${option.value} class="chip">
      <input type="radio" name=${name} value=${option.value} checked=${option.value === value}
        onChange=${() => onChange(option.value)} />
      <span>${option.words}</span>
    </label>`)}</div>
  </fieldset>`;
}

/** A choice that the book keeps: what she taps is chosen at once and stays so until the book
 *  says another, or refuses it. `send` gives the promise. */
export function SentChoice({ value, send, ...more }) {
  const [tapped, hold] = useState(null);
  useEffect(() => hold(null), [value]);
  const choose = (next) => {
    hold(next);
    send(next).catch(() => hold(null));
  };
  return html`<${Choice} ...${more} value=${tapped ?? value} onChange=${choose} />`;
}

/**
 * A line of text that is said when it is left. What she is typing stays when the view is drawn
 * anew meanwhile; a new value takes its place only where she is not typing. `onSaid` gives
 * false where the line falls back to its value.
 */
export function TypedLine({ value, onSaid, ...more }) {
  const shown = value ?? '';
  const line = useRef();
  const typing = useRef(false);
  useLayoutEffect(() => {
    if (!typing.current) line.current.value = shown;
  }, [shown]);
  return html`<input ref=${line} type="text" autocomplete="off" defaultValue=${shown} ...${more}
    onInput=${() => { typing.current = true; }}
    onChange=${(e) => {
      typing.current = false;
      if (onSaid(e.currentTarget.value.trim()) === false) e.currentTarget.value = shown;
    }} />`;
}

/** A whole number with a thumb-sized less and more. */
export function Stepper({ label, value, min = 0, max = 9999, onChange, id }) {
  const set = (next) => {
    if (Number.isFinite(next)) onChange(Math.max(min, Math.min(max, Math.round(next))));
  };
  return html`<div class="stepper" data-quick role="group" aria-label=${label}>
    <button type="button" onClick=${() => set(value - 1)} disabled=${value <= min}
      aria-label=${t('stepper.less', { what: label })}>−</button>
    <${TypedLine} id=${id} inputmode="numeric" value=${value} aria-label=${label}
      onSaid=${(text) => {
        set(parseInt(text, 10));
        return false; // until another number has come
      }}
      onFocus=${(e) => e.currentTarget.select()} />
    <button type="button" onClick=${() => set(value + 1)} disabled=${value >= max}
      aria-label=${t('stepper.more', { what: label })}>+</button>
  </div>`;
}

/** A sheet over the view: from below on a phone, at the side on a laptop. */
export function Sheet({ title, onClose, children }) {
  const ref = useRef();
  useEffect(() => {
    const before = document.activeElement;
    const sheet = ref.current;
    sheet.showModal();
    return () => {
      sheet.close(); // while it is open nothing outside can have the focus
      before?.focus?.();
    };
  }, []);
  return html`<dialog class="sheet" ref=${ref} aria-labelledby="sheet-title"
    onCancel=${(e) => { e.preventDefault(); onClose(); }}
    onClick=${(e) => { if (e.target === ref.current) onClose(); }}>
    <div class="sheet-body">
      <header>
        <h2 id="sheet-title" tabindex="-1">${title}</h2>
        <button class="plain" onClick=${onClose}>${t('close')}</button>
      </header>
      ${children}
    </div>
  </dialog>`;
}

/** What is drawn, and asked for, while it is open; its one child is a function. */
export function Fold({ title, children, ...more }) {
  const [open, setOpen] = useState(false);
  return html`<details ...${more} onToggle=${(e) => setOpen(e.currentTarget.open)}><summary>${title}</summary>
    ${open && children()}</details>`;
}

/** The first thing to see on an empty view: a drawing of the result, and what to do. */
export const Empty = ({ picture, title, children }) => html`<div class="empty">
  ${picture}
  <h2>${title}</h2>
  ${children}
</div>`;

/** Hook: the first of a long list at once, what is further down when these are shown. */
export function useFirst(list, n) {
  const [all, showAll] = useState(false);
  useEffect(() => {
    const timer = setTimeout(() => showAll(true), 150);
    return () => clearTimeout(timer);
  }, []);
  return all || list.length <= n ? list : list.slice(0, n);
}

const wide = matchMedia('(min-width: 60rem)');

/** Hook: whether there is room for two columns. */
export function useWide() {
  const [is, setIs] = useState(wide.matches);
  useEffect(() => {
    const watch = () => setIs(wide.matches);
    wide.addEventListener('change', watch);
    return () => wide.removeEventListener('change', watch);
  }, []);
  return is;
}

/** Hook: the width of an element in CSS pixels, kept up to date. */
export function useWidth(ref) {
  const [width, setWidth] = useState(0);
  useLayoutEffect(() => {
    if (!ref.current) return undefined;
    const watch = new ResizeObserver(([entry]) => setWidth(entry.contentRect.width));
    watch.observe(ref.current);
    setWidth(ref.current.clientWidth);
    return () => watch.disconnect();
  }, [ref.current]);
  return width;
}

/** Hook: the value, once it has been still for a moment. */
export function useSettled(value, wait = 140) {
  const [settled, settle] = useState(value);
  useEffect(() => {
    const timer = setTimeout(() => settle(value), wait);
    return () => clearTimeout(timer);
  }, [value]);
  return settled;
}
