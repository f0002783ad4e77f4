// The page: five places, what can be undone, and what was last said.
import { html, render, useEffect, useErrorBoundary, useRef, useState } from './lib/html.js';
import { places, route, to } from './lib/route.js';
import { listen, offline, redo, refresh, said, sayFault, undo, useDocument } from './lib/book.js';
import { unpaired } from './lib/call.js';
import { takeUp } from './lib/photos.js';
import { drop, taps } from './lib/taps.js';
import { useSettings } from './lib/maker.js';
import { Sheet, Trouble } from './lib/parts.js';
import { later, whenIdle } from './lib/later.js';
import { open } from './lib/opens.js';
import { keptCell } from './lib/cell.js';
import { translated, speak, t } from './text/text.js';
import { Scraps } from './views/scraps.js';

const Basket = later(() => import('./views/basket.js').then((it) => it.Basket));
const Quilts = later(() => import('./views/quilts.js').then((it) => it.Quilts));
const Record = later(() => import('./views/record.js').then((it) => it.Record), 'record');
const Settings = later(() => import('./views/settings.js').then((it) => it.Settings), 'settings');
const views = { scraps: Scraps, basket: Basket, quilts: Quilts, record: Record, settings: Settings };

const tongue = keptCell('language', 'en');

const Places = ({ here }) => html`<nav class="places" aria-label=${t('places')}>
  <ul class="plain-list">${places.map((place) => html`<li key=${place}>
    <a href=${to(place)} aria-current=${place === here ? 'page' : undefined}>${t(place)}</a>
  </li>`)}</ul>
</nav>`;

const Loop = ({ back }) => html`<svg class="loop" viewBox="0 0 20 20" aria-hidden="true"><path d=${back
  ? 'M7 3 3 7l4 4M3 7h9a5 5 0 0 1 0 10H8' : 'm13 3 4 4-4 4M17 7H8a5 5 0 0 0 0 10h4'} /></svg>`;

/** Undo and redo, in reach in every view; what they would do is their description. */
function Journal() {
  const { data: book } = useDocument('/api/book');
  return html`<div class="journal" role="group" aria-label=${t('undo.title')}>
    <button class="plain" disabled=${!book?.undo} onClick=${undo} title=${book?.undo ? t('undo.next', { what: translated(book.undo.what) }) : undefined}>
      <${Loop} back />${t('undo')}</button>
    <button class="plain" disabled=${!book?.redo} onClick=${redo} title=${book?.redo ? t('redo.next', { what: translated(book.redo.what) }) : undefined}>
      <${Loop} />${t('redo')}</button>
  </div>`;
}

/** The last thing said, with its Undo, until the next or until she waves it away. */
function Said() {
  const last = said.use();
  const place = useRef();
  useEffect(() => {
    // What went wrong waits for her. What went well makes room by itself: Undo stays in
    // the header for as long as it can be undone.
    if (!last || last.fault) return undefined;
    const timer = setInterval(() => {
      if (!place.current.matches(':hover, :focus-within')) said.set(null);
    }, 8000);
    return () => clearInterval(timer);
  }, [last]);
  useEffect(() => {
    // Elsewhere it would only lie over the way back.
    const leave = (e) => {
      if (e.target.closest?.('a[href^="#"]') && !said.value?.fault) said.set(null);
    };
    addEventListener('click', leave);
    return () => removeEventListener('click', leave);
  }, []);
  return html`<div class="said-place" role="status" ref=${place}>${last && html`<div class=${last.fault ? 'said fault' : 'said'}>
    ${last.fault ? html`<${Trouble} fault=${last.fault} />` : html`<p class="grow">${last.text}</p>`}
    ${last.undo && html`<button class="plain" onClick=${undo}>${t('undo')}</button>`}
    ${last.redo && html`<button class="plain" onClick=${redo}>${t('redo')}</button>`}
    ${last.fault?.code === 'web.not-paired' && html`<button class="plain" onClick=${() => location.reload()}>${t('unpaired.again')}</button>`}
    <button class="plain" onClick=${() => said.set(null)}>${t('close')}</button>
  </div>`}</div>`;
}

/** The book is damaged: it is shown, and nothing in it can be changed. */
function Damaged() {
  const { data: book } = useDocument('/api/book');
  return book?.damaged && html`<div class="notice ask" role="status"><p>${t('damaged')} <a href=${to('settings')}>${t('damaged.how')}</a></p></div>`;
}

/** The program is away, and what of hers waits on this device until it is back. */
function Away() {
  const away = offline.use();
  const out = unpaired.use();
  const kept = taps.use().filter((one) => one.kept);
  const [open, setOpen] = useState(false);
  const refused = kept.some((one) => one.fault);
  return html`${(away || out || kept.length > 0) && html`<div class="notice ask away" role="status">
      <p>${away && t('fault.offline')}${out && t('unpaired')} ${kept.length > 0 && t(refused ? 'taps.refused' : 'taps.wait', { n: kept.length })}</p>
      ${kept.length > 0 && html`<button class="plain" onClick=${() => setOpen(true)}>${t('taps.show')}</button>`}
      ${out && html`<button class="plain" onClick=${() => location.reload()}>${t('unpaired.again')}</button>`}
    </div>`}
    ${open && html`<${Sheet} title=${t('taps.title')} onClose=${() => setOpen(false)}>
      <p class="quiet">${t('taps.says')}</p>
      <ul class="plain-list taps">${kept.map((one) => html`<li key=${one.key} class="row spread"><span class="grow">${one.words}
        ${one.fault && html`<${Trouble} fault=${one.fault} />`}</span>
        ${one.fault && one.look && html`<a class="button" href=${one.look} onClick=${() => setOpen(false)}>${t('taps.look')}</a>`}
        <button class="plain" aria-label=${t('taps.drop.one', { what: one.words })} onClick=${() => drop(one)}>${t('taps.drop')}</button></li>`)}</ul>
    </${Sheet}>`}`;
}

const Keys = ({ onClose }) => html`<${Sheet} title=${t('keys.title')} onClose=${onClose}>
  <dl class="facts keys">${[1, 2, 3, 4, 5, 6, 7].map((n) => html`<dt key=${n}><kbd>${t(`keys.${n}`)}</kbd></dt><dd>${t(`keys.${n}.says`)}</dd>`)}</dl>
</${Sheet}>`;

/** A view that fails says so; the places and Undo go on working. */
function Guard({ where, children }) {
  const [trouble, mend] = useErrorBoundary((cause) => console.error(cause));
  useEffect(() => {
    if (trouble) mend();
  }, [where]);
  if (!trouble) return children;
  return html`<h1 tabindex="-1">${t('fault.view')}</h1>
    <${Trouble} fault=${{ message: t('fault.view.says'), hint: t('fault.odd.hint'), code: String(trouble.message ?? trouble) }} again=${mend} />`;
}

/** The book says which language the page speaks; this browser remembers it for the next start. */
function useTongue(wanted) {
  const [, redraw] = useState(0);
  useEffect(() => {
    if (!wanted) return;
    tongue.set(wanted);
    speak(wanted).then((turned) => {
      if (!turned) return;
      redraw((n) => n + 1);
      refresh(); // documents name colours
    }, sayFault);
  }, [wanted]);
}

function Page() {
  const parts = route.use();
  const settings = useSettings();
  const { data: book } = useDocument('/api/book');
  const [keys, setKeys] = useState(false);
  const main = useRef();
  const first = useRef(true);
  const [here, ...rest] = parts;
  const View = views[here];
  useTongue(settings?.language);

  useEffect(() => {
    document.title = t('title', { place: rest.length > 0 && here === 'quilts' && rest[0] !== 'start' ? rest[0] : t(here) });
    // A new view is read from its heading; the first one leaves the focus to the browser.
    if (!first.current) {
      scrollTo(0, 0);
      main.current.querySelector('h1')?.focus({ preventScroll: true });
    }
    first.current = false;
  }, [parts.join('/')]);

  useEffect(() => {
    const press = (e) => {
      if (e.repeat || e.ctrlKey || e.metaKey || e.altKey || e.target.closest?.('input, select, textarea, dialog')) return;
      if (e.key === 'u') undo();
      else if (e.key === 'r') redo();
      else if (e.key === '?') setKeys(true);
      else if (/^[1-5]$/.test(e.key)) location.hash = to(places[e.key - 1]);
      else return;
      e.preventDefault();
    };
    addEventListener('keydown', press);
    return () => removeEventListener('keydown', press);
  }, []);

  return html`
    <a class="skip" href="#main" onClick=${(e) => { e.preventDefault(); main.current.focus(); }}>${t('skip')}</a>
    <header class="top">
      <div class="title-place"><a class="mark" href=${to('scraps')}>${t('motley')}</a>
        ${book?.demo && html`<a class="notice" href=${to('settings')}>${t('demo')}</a>`}</div>
      <${Places} here=${here} />
      <${Journal} />
    </header>
    <main id="main" tabindex="-1" ref=${main}>
      <${Away} />
      <${Damaged} />
      <${Guard} where=${parts.join('/')}><${View} rest=${rest} key=${here} /></${Guard}>
    </main>
    <${Said} />
    ${keys && html`<${Keys} onClose=${() => setKeys(false)} />`}`;
}

await speak(tongue.value).catch(() => {}); // offline: what is here is English
render(html`<${Page} />`, document.getElementById('page'));
// What only helps the hands comes after the first view.
whenIdle(() => ['slips', 'focus'].forEach((one) => import(`./lib/${one}.js`).catch(() => {})));
listen();
takeUp();
open().catch(() => {}); // it opens where the address leads
// Once the first view is there: the other places, for when the program is away.
setTimeout(() => whenIdle(() => [Basket, Quilts].forEach((one) => one.ahead())), 800);
