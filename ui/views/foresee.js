// When a quilt will be done at the pace it has, and whether what it needs lasts.
import { html, useState } from '../lib/html.js';
import { Seam, Trouble, Waiting } from '../lib/parts.js';
import { refresh, useDocument } from '../lib/book.js';
import { count, day, share } from '../lib/amount.js';
import { locale, t } from '../text/text.js';
import { quiltApi as api } from './planfacts.js';

const step = 9; // from stitch to stitch
const column = 30;
const highest = 14; // stitches in the fullest week

const soon = (text) => new Date(text) <= new Date();

/** A range of days in words: the middle one, and how wide it is. */
function Range({ title, range, reached }) {
  const words = () => {
    if (reached) return t('foresee.reached');
    if (!range.p50) return range.p10 ? t('foresee.after', { from: day(range.p10) }) : t('foresee.never');
    return t('foresee.about', { day: day(range.p50) });
  };
  return html`<dt>${title}</dt><dd><strong>${words()}</strong>
    ${!reached && range.p50 && html`<br /><span class="quiet">${range.p90
      ? t('foresee.between', { from: day(range.p10), to: day(range.p90) })
      : t('foresee.after', { from: day(range.p10) })}</span>`}</dd>`;
}

/** Weeks as thread: a stitch for each block, or for so many that the fullest week fits. */
function Weeks({ weeks }) {
  const most = Math.max(1, ...weeks.map((one) => one.blocks));
  const each = [1, 2, 5, 10, 20, 50, 100].find((n) => most / n <= highest) ?? Math.ceil(most / highest);
  const stitches = (n) => (n > 0 ? Math.max(1, Math.round(n / each)) : 0);
  const top = Math.max(2, ...weeks.map((one) => stitches(one.blocks)));
  const base = top * step + 10;
  const width = Math.max(weeks.length * column, 120);
  return html`<figure class="months">
    <div class="scroll" tabindex="0" role="group" aria-label=${t('foresee.weeks')}
      ref=${(it) => { if (it && !it.shown) { it.shown = true; it.scrollLeft = it.scrollWidth; } }}>
      <svg width=${width} height=${base + 24} viewBox=${`0 0 ${width} ${base + 24}`} role="img" aria-label=${t('foresee.picture')}>
        <path class="base" d=${`M0 ${base}H${width}`} />
        ${weeks.map((one, i) => html`<g key=${one.from}>
          ${Array.from({ length: stitches(one.blocks) }, (_, j) => html`<path key=${j} class="in" d=${`M${i * column + 5} ${base - 8 - j * step}h20`} />`)}
          ${(i === 0 || one.from.slice(5, 7) !== weeks[i - 1].from.slice(5, 7)) && html`<text x=${i * column + 4} y=${base + 17}>${one.from.slice(5, 7)}/${one.from.slice(2, 4)}</text>`}
        </g>`)}
      </svg>
    </div>
    <figcaption class="quiet">${t('foresee.stitch', { n: each })}</figcaption>
  </figure>
  <details><summary>${t('foresee.table')}</summary>
    <div class="scroll" tabindex="0" role="group" aria-label=${t('foresee.table')}><table>
      <thead><tr><th scope="col">${t('foresee.week')}</th><th scope="col">${t('foresee.blocks')}</th></tr></thead>
      <tbody>${weeks.map((one) => html`<tr key=${one.from}><th scope="row">${day(one.from)}</th><td>${count(one.blocks)}</td></tr>`)}</tbody>
    </table></div>
  </details>`;
}

const season = (from) => {
  const [year, month] = from.split('-').map(Number);
  return t('foresee.season', { season: month % 12 / 3, year });
};

function Seasons({ seasons }) {
  if (seasons.length < 2) return null;
  return html`<h3>${t('foresee.seasons')}</h3>
    <dl class="facts">${seasons.map((one) => html`<dt key=${one.from}>${season(one.from)}</dt><dd>${count(one.blocks)}</dd>`)}</dl>`;
}

/** "If you make n a week": asked of the program, so that all pages say the same. */
function If({ name, usual }) {
  const [n, setN] = useState(Math.max(1, Math.round(usual)));
  const { data } = useDocument(`${api(name, '/forecast')}?per_week=${n}`);
  const wished = data?.if;
  const say = wished && t('foresee.if.done', { half: soon(wished.half) ? '' : day(wished.half), done: day(wished.done) });
  return html`<div class="setting"><label for="if-weekly">${t('foresee.if')}</label>
    <input id="if-weekly" type="range" min="1" max=${Math.max(30, Math.ceil(usual * 3))} value=${n}
      aria-valuetext=${t('foresee.if.week', { n })} onInput=${(e) => setN(Number(e.target.value))} />
    <p aria-live="polite"><strong>${t('foresee.if.week', { n })}.</strong> ${say}</p></div>`;
}

function Supply({ title, supply, come }) {
  if (!supply) return null;
  const { squares, needed, lasts, p10, p50 } = supply;
  const says = () => {
    if (squares >= needed) return t('foresee.enough');
    if (lasts > 0.995) return t('foresee.lasts.surely');
    if (lasts >= 0.1) return t('foresee.lasts.maybe', { share: share(lasts), day: day(p50 ?? p10) });
    return t('foresee.lasts.not', { day: day(p50 ?? p10) });
  };
  return html`<dt>${title}</dt><dd>${says()}<br />
    <span class="quiet">${t('foresee.there', { there: count(squares), needed: count(needed) })}${come !== undefined ? ` ${t('foresee.come', { n: count(Math.round(come)) })}` : ''}</span></dd>`;
}

const background = (it) => {
  if (!it) return t('foresee.background.unknown');
  return it.enough ? t('foresee.background.enough') : t('foresee.background.short', { n: it.blocks, day: day(it.p50) });
};

export function Foresee({ name }) {
  const { data, fault } = useDocument(api(name, '/forecast'));
  if (fault) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`<${Waiting} />`;
  const { pace, basket } = data;
  const any = pace.by_week.some((one) => one.blocks > 0);
  return html`<div class="narrow">
    <h2>${t('quilt.foresee')}</h2>
    ${!any ? html`<p>${t('foresee.none')}</p>` : html`
      <p>${t('foresee.pace', { n: pace.blocks_a_week.toLocaleString(locale(), { maximumFractionDigits: 1 }), weeks: pace.weeks, all: pace.of !== 'this quilt' })}
        ${' '}<span class="quiet">${t(`foresee.sure.${pace.sure}`)}</span></p>
      <dl class="facts">
        <${Range} title=${t('foresee.half')} range=${data.half} reached=${data.made * 2 >= data.blocks} />
        <${Range} title=${t('foresee.done')} range=${data.done} reached=${data.left === 0} />
      </dl>
      <${Weeks} weeks=${pace.by_week} />
      <${Seasons} seasons=${pace.seasons} />
      ${data.left > 0 && html`<${If} name=${name} usual=${pace.blocks_a_week} />`}`}
    ${data.left > 0 && html`<${Seam} /><h2>${t('foresee.lasts')}</h2>
      <dl class="facts">
        <${Supply} title=${t('foresee.squares')} supply=${basket.all} come=${basket.squares_a_week} />
        <${Supply} title=${t('foresee.lights')} supply=${basket.lights} />
        <${Supply} title=${t('foresee.darks')} supply=${basket.darks} />
        <dt>${t('foresee.background')}</dt><dd>${background(data.background)}</dd>
      </dl>`}
  </div>`;
}
