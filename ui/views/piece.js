// Cut a piece that is in no photo: a rectangle as she types it, or an outline whose corners
// she moves.
import { html, useRef, useState } from '../lib/html.js';
import { Trouble, Waiting, useSettled, useWidth } from '../lib/parts.js';
import { change, useDocument } from '../lib/book.js';
import { count, long, unit as unitWords, unitText } from '../lib/amount.js';
import { useDraft } from '../lib/draft.js';
import { useSystem } from '../lib/maker.js';
import { Handles, pixelOf } from '../lib/handles.js';
import { bounds, path } from '../lib/plan.js';
import { added, moved, nearestSide, removed } from '../lib/outline.js';
import { CutButtons, HowToCut, MatPicture, PlanFacts, asked, useCut } from '../lib/mat.js';
import { to } from '../lib/route.js';
import { t } from '../text/text.js';

const per = 40; // pixels of the drawing to the inch

/** The corners on a grid: drag one, tap on a side for another, take one away. */
function Corners({ points, onPoints, system }) {
  const box = useRef();
  const svg = useRef();
  const width = useWidth(box);
  const [chosen, choose] = useState(null);
  const [extent] = useState(() => bounds(points)); // does not run away while a corner is dragged
  const step = system === 'metric' ? 1 / 2.54 : 1;
  const pad = Math.max(2, (extent.right - extent.left) * 0.12);
  const [left, top] = [extent.left - pad, extent.top + pad];
  const [wide, high] = [extent.right - left + pad, top - extent.bottom + pad];
  const k = wide * per / (width || 390);
  const at = ([x, y]) => [(x - left) * per, (top - y) * per];
  const fine = step / 8;
  const from = (e) => {
    const [x, y] = pixelOf(svg.current, e);
    return [left + x / per, top - y / per].map((v) => Math.round(v / fine) * fine);
  };
  const nodes = points.map((p) => ({ at: p, fine: [] }));
  const put = (next) => onPoints(next.map((node) => node.at));
  const steps = (size) => Array.from({ length: Math.ceil(size / step) }, (_, i) => (i + 1) * step * per);
  return html`<div class="piece-corners" ref=${box}>
    <svg ref=${svg} viewBox=${`0 0 ${wide * per} ${high * per}`} role="group" aria-label=${t('piece.corners')}
      onClick=${(e) => {
        const { side, at: here } = nearestSide(nodes, from(e));
        put(added(nodes, side, here));
        choose(side + 1);
      }}>
      <path class="mat-grid" d=${[...steps(wide).map((x) => `M${x} 0V${high * per}`), ...steps(high).map((y) => `M0 ${y}H${wide * per}`)].join('')} />
      <path class="mat-cloth" d=${path(points, at)} />
      <${Handles} points=${points} at=${at} from=${from} k=${k} step=${fine} chosen=${chosen} choose=${choose} loupe=${{ current: null }} name=${'piece.corner'}
        onMove=${(i, point) => put(moved(nodes, i, point))}
        onDelete=${(i) => points.length > 3 && put(removed(nodes, i))} />
    </svg>
    <div class="row">
      <span class="grow quiet">${t(system === 'metric' ? 'piece.grid.cm' : 'piece.grid.in')}</span>
      <button class="plain" disabled=${chosen === null || points.length <= 3} onClick=${() => { put(removed(nodes, chosen)); choose(null); }}>${t('piece.corner.away')}</button>
    </div>
  </div>`;
}

/** What she got goes into the basket, of no known fabric. */
function IntoBasket({ squares, unit }) {
  const [fault, setFault] = useState(null);
  const put = () => change('POST', '/api/basket/add', { count: squares, unit: unitText(unit) }, {
    done: t('cut.in.basket', { n: squares }), keep: true,
  }).then(() => setFault(null), setFault);
  return html`<div class="row"><button class="button main" onClick=${put}>${t('cut.put', { n: squares })}</button></div>
    ${fault && html`<${Trouble} fault=${fault} />`}`;
}

export function Piece() {
  const system = useSystem();
  const { data: settings } = useDocument('/api/settings');
  const [half, setHalf] = useDraft('piece', { typed: null, points: null, how: {}, easiest: false });
  const { typed, points, how, easiest } = half; // no points: the rectangle as it is typed
  const set = (more) => setHalf((now) => ({ ...now, ...more }));
  const text = typed ?? (system === 'metric' ? '45 x 24 cm' : '18 x 9 1/2 in');
  const body = useSettled(JSON.stringify({ ...asked(how), ...(points ? { outline: { outline_in: points } } : { rect: text }) }), 250);
  const { cut, fault } = useCut(body);
  const best = cut?.plans.find((plan) => plan.chosen) ?? cut?.plans[0];
  const other = cut?.plans.find((plan) => plan !== best);
  const plan = easiest && other ? other : best;
  const unit = cut?.unit_in ?? settings?.unit_in ?? 2.5;
  const scrap = { id: 'piece', outline_in: cut?.outline_in, sure: true };
  // Cuts that are made belong to the plan of which they are.
  const of = `${body} ${easiest}`;
  const made = half.of === of ? half.made : 0;
  const setMade = (n) => set({ of, made: n });
  const many = cut?.wants ? plan?.pieces.length : plan?.squares;
  return html`<a class="back" href=${to('scraps')}>${t('photo.all')}</a>
    <h1 tabindex="-1">${t('piece')}</h1>
    <div class="cutting">
      <p class="caution">${t('caution.cutter')}</p>
      <div class="fields">
        <label class="field">${t('piece.size')}<input type="text" autocomplete="off" value=${text}
          onInput=${(e) => set({ typed: e.currentTarget.value, points: null })} /></label>
        ${points
          ? html`<button class="plain" onClick=${() => set({ points: null })}>${t('piece.rectangle')}</button>`
          : html`<button class="plain" disabled=${!cut?.outline_in} onClick=${() => set({ points: cut.outline_in })}>${t('piece.shape')}</button>`}
      </div>
      ${points && html`<${Corners} points=${points} onPoints=${(next) => set({ points: next })} system=${system} />`}
      <${HowToCut} how=${how} onHow=${(next) => set({ how: next })} unit=${settings?.unit_in ?? unit} />
      ${fault && html`<${Trouble} fault=${fault} />`}
      ${!cut && !fault && html`<${Waiting} />`}
      ${plan && cut.outline_in && html`<section class="mat" aria-labelledby="mat-title">
        <${MatPicture} plan=${null} scrap=${scrap} cut=${plan} made=${made} label=${t('piece.picture', { n: count(many) })} />
        <div>
          <h2 id="mat-title">${t('piece.plan')}</h2>
          ${many > 0 && html`<${CutButtons} cut=${plan} made=${made} onMade=${setMade} />`}
          <${PlanFacts} cut=${plan} other=${cut.wants ? undefined : other && (plan === best ? other : best)} unit=${cut.unit_in} wants=${cut.wants} />
          ${other && !cut.wants && html`<button class="plain" onClick=${() => set({ easiest: !easiest })}>${t(easiest ? 'piece.show.best' : 'piece.show.easiest')}</button>`}
          ${many > 0 && !cut.wants && html`<${IntoBasket} squares=${plan.squares} unit=${cut.unit_in} />`}
        </div>
      </section>`}
    </div>`;
}
