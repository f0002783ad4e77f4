// When a quilt will be done at the pace it has, and whether what it needs lasts.
import { html, useState } from '../lib/html.js';
import { Choice, Seam, Trouble, Waiting } from '../lib/parts.js';
import { refresh, useDocument } from '../lib/book.js';
import { count, day, share } from '../lib/amount.js';
import { locale, t } from '../text/text.js';
import { quiltApi as api } from './planfacts.js';

const step = 9; // from stitch to stitch
const highest = 14; // stitches in the fullest column
const DAYS = 120; // of them, the last

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

const months = (one, before) => (one.slice(0, 7) === before?.slice(0, 7) ? '' : `${one.slice(5, 7)}/${one.slice(2, 4)}`);

const season = (from) => {
  const [year, month] = from.split('-').map(Number);
  return t('foresee.season', { season: month % 12 / 3, year });
};

/** Every day from the first to the last of those kept, the ones without blocks too. */
function everyDay(days) {
  const by = new Map(days.map((one) => [one.day, one.blocks]));
  const all = [];
  const today = new Date().toISOString().slice(0, 10);
  for (const at = new Date(`${days[0].day}T12:00Z`); ;) {
    const from = at.toISOString().slice(0, 10);
    if (from > today && from > days[days.length - 1].day) return all.slice(-DAYS);
    all.push({ from, blocks: by.get(from) ?? 0 });
    at.setUTCDate(at.getUTCDate() + 1);
  }
}

/** What a pace can be looked at by: its columns, how wide each is, its words. */
const ways = {
  day: { of: (pace) => everyDay(pace.by_day), wide: 14, head: 'foresee.day', name: (from) => day(from), mark: months },
  week: { of: (pace) => pace.by_week, wide: 30, head: 'foresee.week', name: (from) => day(from), mark: months },
  season: { of: (pace) => pace.seasons, wide: 96, head: 'foresee.one.season', name: season, mark: season },
};

/** Days, weeks or seasons as thread: a stitch for each block, or for so many that the
 *  fullest fits. */
function Pace({ pace }) {
  const [by, setBy] = useState('week');
  const { of, wide, head, name, mark } = ways[by];
  const columns = of(pace);
  const most = Math.max(1, ...columns.map((one) => one.blocks));
  const each = [1, 2, 5, 10, 20, 50, 100].find((n) => most / n <= highest) ?? Math.ceil(most / highest);
  const stitches = (n) => (n > 0 ? Math.max(1, Math.round(n / each)) : 0);
  const top = Math.max(2, ...columns.map((one) => stitches(one.blocks)));
  const base = top * step + 10;
  const width = Math.max(columns.length * wide, 120);
  return html`<${Choice} name="foresee-by" legend=${t('foresee.by')} value=${by} onChange=${setBy}
      options=${Object.keys(ways).map((value) => ({ value, words: t(`foresee.by.${value}`) }))} />
  <figure class="months">
    <div class="scroll" tabindex="0" role="group" aria-label=${t('foresee.weeks')}
      ref=${(it) => { if (it && it.shown !== by) { it.shown = by; it.scrollLeft = it.scrollWidth; } }}>
      <svg width=${width} height=${base + 24} viewBox=${`0 0 ${width} ${base + 24}`} role="img" aria-label=${t('foresee.picture')}>
        <path class="base" d=${`M0 ${base}H${width}`} />
        ${columns.map((one, i) => html`<g key=${one.from}>
          ${Array.from({ length: stitches(one.blocks) }, (_, j) => html`<path key=${j} class="in" d=${`M${i * wide + 2} ${base - 8 - j * step}h${Math.min(wide - 4, 20)}`} />`)}
          ${mark(one.from, columns[i - 1]?.from) && html`<text x=${i * wide + 2} y=${base + 17}>${mark(one.from, columns[i - 1]?.from)}</text>`}
        </g>`)}
      </svg>
    </div>
    <figcaption class="quiet">${t('foresee.stitch', { n: each })}</figcaption>
  </figure>
  <details><summary>${t('foresee.table')}</summary>
    <div class="scroll" tabindex="0" role="group" aria-label=${t('foresee.table')}><table>
      <thead><tr><th scope="col">${t(head)}</th><th scope="col">${t('foresee.blocks')}</th></tr></thead>
      <tbody>${columns.filter((one) => by !== 'day' || one.blocks > 0).map((one) => html`<tr key=${one.from}><th scope="row">${name(one.from)}</th><td>${count(one.blocks)}</td></tr>`)}</tbody>
    </table></div>
  </details>`;
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
      <${Pace} pace=${pace} />
      ${data.left > 0 && html`<${If} name=${name} usual=${pace.blocks_a_week} />`}`}
    ${data.left > 0 && html`<${Seam} /><h2>${t('foresee.lasts')}</h2>
      <dl class="facts">
        <${Supply} title=${t('foresee.squares')} supply=${basket.all} come=${basket.squares_a_week} />
        <${Supply} title=${t('foresee.lights')} supply=${basket.lights} />
        <${Supply} title=${t('foresee.darks')} supply=${basket.darks} />
        ${data.background?.needed_in !== 0 && html`<dt>${t('foresee.background')}</dt><dd>${background(data.background)}</dd>`}
      </dl>`}
  </div>`;
}
