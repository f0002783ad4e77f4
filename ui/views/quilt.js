// One quilt: its chart, the next block, what to buy, and its sheets of paper.
import { html, useLayoutEffect, useRef, useState } from '../lib/html.js';
import { keptCell } from '../lib/cell.js';
import { Seam, Sewing, Trouble, Waiting, useWide } from '../lib/parts.js';
import { later } from '../lib/later.js';
import { change, refresh, useDocument } from '../lib/book.js';
import { count } from '../lib/amount.js';
import { go, to } from '../lib/route.js';
import { useSettings } from '../lib/maker.js';
import { t } from '../text/text.js';
import { Chart } from './chart.js';
import { quiltApi as api, stateWords, wishes, wishesOf } from './planfacts.js';

const Next = later(() => import('./next.js').then((it) => it.Next), 'next');
const Day = later(() => import('./piecing.js').then((it) => it.Day), 'next');
const Buying = later(() => import('./buying.js').then((it) => it.Buying), 'buying');

// ---- paper -----------------------------------------------------------------------------

const maker = keptCell('label.maker', '');

function Paper({ name }) {
  const settings = useSettings();
  const by = maker.use();
  const [whom, setWhom] = useState('');
  const paper = settings?.paper ?? 'a4';
  const cloth = wishesOf(name, wishes.use());
  const more = { shopping: cloth, cutting: cloth, label: Object.fromEntries(Object.entries({ maker: by, for: whom }).filter(([, words]) => words)) };
  const field = (id, value, set) => html`<div class="setting"><label for=${`label-${id}`}>${t(`label.${id}`)}</label>
    <input id=${`label-${id}`} type="text" maxlength="80" autocomplete="off" defaultValue=${value} onInput=${(e) => set(e.target.value.trim())} /></div>`;
  return html`<ul class="papers plain-list">${['chart', 'design', 'map', 'cutting', 'shopping', 'sew', 'next', 'rows', 'label', 'story', 'card'].map((what) => html`<li key=${what}>
    <a class="button" target="_blank" rel="noopener" href=${`/api/print/${what}.pdf?${new URLSearchParams({ quilt: name, paper, ...more[what] })}`}>${t(`print.${what}`)}</a>
    <span class="quiet">${t(`print.${what}.says`)}</span>
    ${what === 'label' && html`<div>${field('maker', by, maker.set)}${field('for', '', setWhom)}</div>`}
  </li>`)}</ul>`;
}

// ---- all of it -------------------------------------------------------------------------

const Arrange = later(() => import('./arrange.js').then((it) => it.Arrange), 'arranging');
const Foresee = later(() => import('./foresee.js').then((it) => it.Foresee), 'foresee');
const Sew = later(() => import('./sew.js').then((it) => it.Sew), 'sewing');
const Assemble = later(() => import('./assemble.js').then((it) => it.Assemble), 'finishing');
const Finish = later(() => import('./finish.js').then((it) => it.Finish), 'finishing');
const Story = later(() => import('./story.js').then((it) => it.Story), 'record');
const Blocks = later(() => import('./blocks.js').then((it) => it.Blocks), 'blocks');
const parts = ['chart', 'next', 'sew', 'foresee', 'arrange', 'buy', 'assemble', 'finish', 'story', 'paper'];

/** The parts of a quilt. Where they are one row that is wider than the screen, the marked one is
 *  in the middle of it. */
function Tabs({ name, tabs, marked }) {
  const row = useRef();
  useLayoutEffect(() => {
    const tab = row.current.querySelector('[aria-current]');
    if (tab) row.current.scrollLeft = tab.offsetLeft - (row.current.clientWidth - tab.offsetWidth) / 2;
  }, [marked]);
  return html`<nav class="tabs" ref=${row} aria-label=${t('quilt.parts')}>${tabs.map((one) => html`<a key=${one} href=${to('quilts', name, ...(one === 'chart' ? [] : [one]))}
    aria-current=${one === marked ? 'page' : undefined}>${t(`quilt.${one}`)}</a>`)}</nav>`;
}

export function Quilt({ name, what = 'chart' }) {
  const wide = useWide();
  const { data: quilt, fault } = useDocument(api(name));
  const back = html`<a class="back" href=${to('quilts')}>${t('quilt.all')}</a>`;
  if (fault && !quilt) return html`${back}<h1 tabindex="-1">${name}</h1><${Trouble} fault=${fault} again=${refresh} />`;
  if (!quilt) return html`${back}<h1 tabindex="-1">${name}</h1><${Waiting} />`;
  const blocks = quilt.made + quilt.left;
  const part = ['photo', 'day'].includes(what) || parts.includes(what) ? what : 'chart';
  const tabs = wide ? parts.filter((one) => one !== 'next') : parts;
  // What has no tab of its own is reached from one, which stays marked.
  const from = { photo: 'chart', day: 'next' }[part] ?? part;
  const marked = wide && from === 'next' ? 'chart' : from;
  return html`<div class="quilt-top">${back}<${Tabs} name=${name} tabs=${tabs} marked=${marked} /></div>
    <h1 tabindex="-1">${name} <span class="quiet state">${stateWords(quilt.state)}</span></h1>
    <${Sewing} done=${blocks > 0 ? quilt.made / blocks : 0} label=${t('quilt.progress', { quilt: name })} quiet
      doing=${t('quilt.made', { made: count(quilt.made), of: count(blocks) })} />
    ${(part === 'chart' || (wide && part === 'next')) && html`<div class=${wide ? 'two chart-and-next' : ''}>
      <div><${Chart} name=${name} quilt=${quilt} />
        ${quilt.state === 'under way' && html`<p><a class="button" href=${to('quilts', name, 'photo')}>${t('quilt.photo')}</a></p>`}</div>
      ${wide && html`<section aria-label=${t('quilt.next')}><h2>${t('quilt.next')}</h2><${Next} name=${name} quilt=${quilt} /></section>`}
    </div>`}
    ${part === 'next' && !wide && html`<${Next} name=${name} quilt=${quilt} />`}
    ${part === 'day' && html`<${Day} name=${name} quilt=${quilt} />`}
    ${part === 'photo' && html`<${Blocks} name=${name} />`}
    ${part === 'arrange' && html`<${Arrange} name=${name} quilt=${quilt} />`}
    ${part === 'sew' && html`<${Sew} name=${name} />`}
    ${part === 'assemble' && html`<${Assemble} name=${name} quilt=${quilt} />`}
    ${part === 'finish' && html`<${Finish} name=${name} />`}
    ${part === 'story' && html`<${Story} name=${name} />`}
    ${part === 'foresee' && html`<${Foresee} name=${name} quilt=${quilt} />`}
    ${part === 'buy' && html`<div class="narrow"><${Buying} name=${name} quilt=${quilt} /></div>`}
    ${part === 'paper' && html`<div class="narrow"><${Paper} name=${name} />
      <${Seam} />
      ${quilt.state !== 'finished' && quilt.state !== 'closed' && html`<button class="button" onClick=${() => change('POST', api(name, '/close'), {}, { done: t('quilt.closed', { quilt: name }) }).catch(() => {})}>${t('quilt.close')}</button>`}
      <button class="plain stop" onClick=${() => change('DELETE', api(name), undefined, { done: t('quilt.gone', { quilt: name }) }).then(() => go('quilts'), () => {})}>${t('quilt.delete')}</button>
    </div>`}`;
}
