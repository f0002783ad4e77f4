// Record: the line of months, the quilts on it, and where their fabric came from.
import { Fragment, html, useState } from '../lib/html.js';
import { Cloth, Empty, Fold, Seam, Sewing, Trouble, Waiting, useFirst, useSettled } from '../lib/parts.js';
import { RecordDrawing } from '../lib/drawings.js';
import { refresh, useDocument } from '../lib/book.js';
import { count, day, month } from '../lib/amount.js';
import { AskPhoto } from '../lib/askphoto.js';
import { later, whenIdle } from '../lib/later.js';
import { to } from '../lib/route.js';
import { asColour, t } from '../text/text.js';
import { Shares } from '../lib/shares.js';
import { stateWords } from './planfacts.js';

// The story of a fabric and the strata come after the record, and before a tap wants them.
const FabricStory = later(() => import('./story.js').then((it) => it.FabricStory), 'record');
const Years = later(() => import('./years.js').then((it) => it.Years), 'record');
whenIdle(() => [FabricStory, Years].forEach((one) => one.ahead()));

const step = 9; // from stitch to stitch
const column = 44;
const highest = 12; // stitches in the fullest month

/** One stitch for so many squares that the fullest month still fits. */
const perStitch = (months) => {
  const most = Math.max(1, ...months.flatMap((one) => [one.squares_in, one.squares_out]));
  return [1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000].find((n) => most / n <= highest) ?? Math.ceil(most / highest);
};

/** Hook: which of a row of columns are drawn, [from, to): those in view and a screen to either
 *  side, the last ones first. `look` is for the box that scrolls. */
function useInView(columns) {
  const screen = Math.ceil(innerWidth / column);
  const [[first, last], show] = useState([columns - screen - 6, Infinity]);
  const from = Math.max(0, first);
  const to = Math.min(columns, last);
  const look = ({ currentTarget: box }) => {
    const left = Math.floor(box.scrollLeft / column);
    const right = Math.ceil((box.scrollLeft + box.clientWidth) / column);
    if (left < from || right > to) show([left - screen, right + screen]);
  };
  return [from, to, look];
}

/** Months as thread: what went in stands above the line, what came out hangs below. */
function Months({ months }) {
  const [from, to, look] = useInView(months.length);
  const each = perStitch(months);
  const stitches = (n) => (n > 0 ? Math.max(1, Math.round(n / each)) : 0);
  const above = Math.max(2, ...months.map((one) => stitches(one.squares_in)));
  const below = Math.max(2, ...months.map((one) => stitches(one.squares_out)));
  const middle = above * step + 14;
  const height = middle + below * step + 34;
  const width = months.length * column;
  // Of thirty years, with their thousands of stitches, those that are in view; one path for all.
  const inView = months.slice(from, to).map((one, i) => [one, (from + i) * column]);
  const yearOf = (i) => months[i]?.month.slice(0, 4); // said where it begins: a month without squares has no column
  const sewn = (field, first, sign) => inView.map(([one, x]) => Array.from({ length: stitches(one[field]) },
    (_, j) => `M${x + 10} ${first + sign * j * step}h24`).join('')).join('');
  return html`<figure class="months">
    <div class="scroll" tabindex="0" role="group" aria-label=${t('record.months')} onScroll=${look}
      ref=${(it) => { if (it && !it.shown) { it.shown = true; it.scrollLeft = it.scrollWidth; } }}>
      <svg width=${width} height=${height} viewBox=${`0 0 ${width} ${height}`} role="img" aria-label=${t('record.picture')}>
        <path class="base" d=${`M0 ${middle}H${width}`} />
        <path class="in" d=${sewn('squares_in', middle - 9, -1)} />
        <path class="out" d=${sewn('squares_out', middle + 9, 1)} />
        ${inView.map(([one, x]) => html`<${Fragment} key=${one.month}>
          <text x=${x + 22} y=${height - 16} text-anchor="middle">${month(one.month).split(' ')[0]}</text>
          ${yearOf(x / column) !== yearOf(x / column - 1) && html`<text x=${x + 22} y=${height - 1} text-anchor="middle" class="year">${yearOf(x / column)}</text>`}
        </${Fragment}>`)}
      </svg>
    </div>
    <figcaption class="quiet">${t('record.stitch', { n: count(each) })}</figcaption>
  </figure>
  <${Fold} title=${t('record.table')}>${() => html`<div class="scroll" tabindex="0" role="group" aria-label=${t('record.table')}><table>
      <thead><tr><th scope="col">${t('record.month')}</th><th scope="col">${t('record.in')}</th><th scope="col">${t('record.out')}</th><th scope="col">${t('record.blocks')}</th></tr></thead>
      <tbody>${months.map((one) => html`<tr key=${one.month}><th scope="row">${month(one.month)}</th>
        <td>${count(one.squares_in)}</td><td>${count(one.squares_out)}</td><td>${count(one.blocks)}</td></tr>`)}</tbody>
    </table></div>`}</${Fold}>`;
}

const when = (quilt) => (quilt.closed
  ? t('record.from.to', { from: day(quilt.started), to: day(quilt.closed) })
  : t('record.since', { from: day(quilt.started) }));

/** "Find the teal one": by name or by colour, as it is typed. */
function Find() {
  const [typed, setTyped] = useState('');
  const asked = useSettled(typed, 250);
  const { data, last } = useDocument(asked ? `/api/fabrics?${new URLSearchParams({ find: asColour(asked), limit: 24 })}` : null);
  const [like, setLike] = useState(null); // what a photo brought
  const found = asked ? (data ?? last)?.fabrics : like?.fabrics;
  return html`<section class="find" role="search"><label class="field">${t('record.find')}
      <input type="text" inputmode="search" autocomplete="off" placeholder=${t('record.find.such')} defaultValue="" onInput=${(e) => setTyped(e.currentTarget.value.trim())} /></label>
    <${AskPhoto} path="/api/fabrics/photo" label=${t('record.find.photo')} looking=${t('record.find.looking')} onAnswer=${(it) => setLike(it ?? null)} />
    ${like && !asked && html`<p class="quiet">${t(like.card ? 'record.find.card' : 'record.find.like')}</p>`}
    <div role="status">${found && (found.length === 0 ? html`<p class="quiet">${t('record.find.none')}</p>`
      : html`<ul class="found plain-list">${found.map((one) => html`<li key=${one.fabric}><a href=${to('record', 'fabric', String(one.fabric))}><${Cloth} fabric=${one} />${one.name}</a></li>`)}</ul>`)}</div>
  </section>`;
}

export function Record({ rest = [] }) {
  if (rest[0] === 'fabric') return html`<${FabricStory} id=${rest[1]} />`;
  return html`<${All} />`;
}

function All() {
  const { data, fault } = useDocument('/api/record');
  const title = html`<h1 tabindex="-1">${t('record')}</h1>`;
  if (fault) return html`${title}<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`${title}<${Waiting} />`;
  const months = data.months ?? [];
  const quilts = data.quilts ?? [];
  if (months.length === 0 && quilts.length === 0) {
    return html`${title}<div class="narrow"><${Empty} picture=${html`<${RecordDrawing} />`} title=${t('record.empty')}>
      <p>${t('record.empty.how')}</p></${Empty}></div>`;
  }
  return html`${title}<${Find} />
    ${months.length > 0 && html`<${Months} months=${months} /><${Fold} class="what-next" title=${t('years.title')}>${() => html`<${Years} />`}</${Fold}><${Seam} />`}
    <${Past} quilts=${quilts} />`;
}

function Past({ quilts }) {
  return html`<ul class="past plain-list">${useFirst(quilts, 2).map((quilt) => {
    const blocks = quilt.blocks || 0;
    return html`<li key=${quilt.quilt}>
      <h2><a href=${to('quilts', quilt.quilt, 'story')}>${quilt.quilt}</a> <span class="quiet state">${stateWords(quilt.state)}</span></h2>
      <p class="quiet">${when(quilt)}</p>
      <${Sewing} done=${blocks > 0 ? quilt.made / blocks : 0} label=${t('quilt.progress', { quilt: quilt.quilt })} quiet
        doing=${t('quilt.made', { made: count(quilt.made), of: count(blocks) })} />
      ${quilt.sources?.length > 0 && html`<${Shares} rows=${quilt.sources} words=${(row) => row.source || t('source.none')} />`}
      ${quilt.sources_more > 0 && html`<p><a href=${to('quilts', quilt.quilt, 'story')}>${t('record.more', { n: quilt.sources_more })}</a></p>`}
    </li>`;
  })}</ul>`;
}
