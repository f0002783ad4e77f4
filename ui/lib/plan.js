// The true-scale picture of a photo, its outlines sewn over it.
import { html, useId, useLayoutEffect, useRef, useState } from './html.js';
import { useWidth } from './parts.js';
import { taps } from './taps.js';
import { t } from '../text/text.js';

/** From inches on the table to pixels of the plan picture. */
export const toPlan = (plan) => ([x, y]) => [
  (x - plan.left_in) * plan.pixels_per_in,
  (plan.top_in - y) * plan.pixels_per_in,
];

const r1 = (x) => Math.round(x * 10) / 10;
export const path = (points, at) => `M${points.map((p) => at(p).map(r1).join(' ')).join('L')}Z`;

/** Where a label sits: the middle of the area, or the first corner of a hairline. */
export function middle(points) {
  let area = 0;
  let x = 0;
  let y = 0;
  for (let i = 0; i < points.length; i++) {
    const [x0, y0] = points[i];
    const [x1, y1] = points[(i + 1) % points.length];
    const cross = x0 * y1 - x1 * y0;
    area += cross;
    x += (x0 + x1) * cross;
    y += (y0 + y1) * cross;
  }
  return Math.abs(area) < 1e-9 ? points[0] : [x / (3 * area), y / (3 * area)];
}

export const bounds = (points) => {
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  return { left: Math.min(...xs), right: Math.max(...xs), bottom: Math.min(...ys), top: Math.max(...ys) };
};

export const isSure = (scrap) => scrap.sure === undefined || scrap.sure === true || scrap.sure >= 0.6;

/** The outlines of a scrap as stitches: filled when found for sure, open when guessed. */
export const Stitches = ({ scrap, at, state = '' }) => {
  const d = [scrap.outline_in, ...(scrap.holes_in ?? [])].map((ring) => path(ring, at)).join('');
  return html`<g class=${`outline ${state} ${isSure(scrap) ? '' : 'guess'}`}>
    <path class="under" d=${d} /><path class="over" d=${d} />
  </g>`;
};

/** The true-scale picture itself. A photo seen from straight above has no right corners: where
 *  it ends the paper of the page shows, light or dark, and not the one drawn into the picture. */
export function PlanImage({ plan, size, name, onSize }) {
  const ref = useRef();
  useLayoutEffect(() => {
    const at = toPlan(plan);
    if (size[0] && plan.seen_in) {
      ref.current.style.clipPath = `polygon(${plan.seen_in.map((p) => at(p).map((x, axis) => `${r1(x / size[axis] * 1000) / 10}%`).join(' ')).join(',')})`;
    }
  }, [plan, size[0], size[1]]);
  return html`<img ref=${ref} src=${plan.url} alt=${t('plan.alt', { name })} width=${size[0] || undefined} height=${size[1] || undefined}
    onLoad=${(e) => onSize([e.currentTarget.naturalWidth, e.currentTarget.naturalHeight])} />`;
}

const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** The piece that lies next in a direction; what is off to the side counts as farther away. */
function beside(pieces, from, [right, up]) {
  const [x, y] = middle(from.outline_in);
  let least = Infinity;
  return pieces.reduce((best, one) => {
    const [across, high] = middle(one.outline_in);
    const on = (across - x) * right + (high - y) * up;
    const far = on + 2 * Math.abs((across - x) * up + (high - y) * right);
    if (on <= 0 || far >= least) return best;
    least = far;
    return one;
  }, from);
}

/**
 * The whole picture. `marks` are places that a warning speaks of, in inches.
 * `onScrap` makes the pieces buttons: one stop for Tab, and arrows walk from piece to piece.
 */
export function PlanPicture({ document: { plan, scraps, photo }, onScrap, marks = [], zoom = 1 }) {
  const ref = useRef();
  const width = useWidth(ref);
  const at = toPlan(plan);
  const [size, setSize] = useState([plan.width_px ?? 0, plan.height_px ?? 0]);
  const k = size[0] / (width || 390); // pixels of the plan in one of the screen
  const pieces = scraps.filter((scrap) => scrap.state !== 'thrown');
  const [here, stop] = useState(null); // where Tab comes to
  const first = pieces.find((scrap) => scrap.id === here) ?? pieces[0];
  return html`<div class="plan" ref=${ref} data-zoom=${zoom}>
    <${PlanImage} plan=${plan} size=${size} name=${photo.name} onSize=${setSize} />
    ${size[0] > 0 && html`<svg viewBox=${`0 0 ${size[0]} ${size[1]}`} role="group" aria-label=${t('plan.pieces')}>
      ${pieces.map((scrap) => {
        const [x, y] = at(middle(scrap.outline_in));
        // A number never hides the piece that it names.
        const reach = Math.sqrt(Math.max(0.1, scrap.area_sq_in)) * plan.pixels_per_in * 0.3 / k;
        const tag = Math.max(7, Math.min(14, reach)) * k;
        const words = t('scrap.button', { n: scrap.number, squares: Math.max(scrap.squares?.grid ?? 0, scrap.squares?.strips ?? 0) });
        const press = () => onScrap(scrap);
        return html`<g key=${scrap.id} class=${`piece ${scrap.state ?? ''}`} role="button" tabindex=${scrap === first ? 0 : -1} aria-label=${words} data-scrap=${scrap.id}
          onClick=${press} onFocus=${() => stop(scrap.id)} onKeyDown=${(e) => {
            if (ways[e.key]) {
              e.preventDefault();
              const next = beside(pieces, scrap, ways[e.key]);
              e.currentTarget.parentNode.querySelector(`[data-scrap="${CSS.escape(next.id)}"]`).focus();
            }
            if (e.key === 'Enter' || e.key === ' ') {
              e.preventDefault();
              press();
            }
          }}>
          <${Stitches} scrap=${scrap} at=${at} state=${scrap.state} />
          <circle class="reach" cx=${x} cy=${y} r=${22 * k} />
          <circle class="tag" cx=${x} cy=${y} r=${tag} />
          <text x=${x} y=${y} font-size=${tag * 1.1} dy="0.36em" text-anchor="middle">${scrap.number}</text>
        </g>`;
      })}
      ${marks.map((mark, i) => {
        const [x, y] = at(mark);
        return html`<circle key=${`mark${i}`} class="mark" cx=${x} cy=${y} r=${24 * k} />`;
      })}
    </svg>`}
  </div>`;
}

/** Of the plans of a cut, the one to follow for a scrap. */
export const planFor = (cut, scrap) => {
  const plans = (cut?.plans ?? []).filter((plan) => plan.scrap === scrap);
  return plans.find((plan) => plan.chosen) ?? plans.sort((a, b) => b.squares - a.squares)[0];
};

/** One scrap alone, cut out of the plan picture, with squares and lines of a cut over it. */
export function ScrapPicture({ plan, scrap, cut, label }) {
  const at = toPlan(plan);
  const box = bounds(scrap.outline_in);
  const [left, top] = at([box.left, box.top]);
  const [right, bottom] = at([box.right, box.bottom]);
  const pad = Math.max(right - left, bottom - top) * 0.04 + 2;
  const clip = useId(); // the same scrap may be shown twice, and a hidden clip clips nothing
  const d = [scrap.outline_in, ...(scrap.holes_in ?? [])].map((ring) => path(ring, at)).join('');
  return html`<svg class="scrap-picture" role="img" aria-label=${label}
    viewBox=${[left - pad, top - pad, right - left + 2 * pad, bottom - top + 2 * pad].map(r1).join(' ')}>
    <clipPath id=${clip}><path d=${d} clip-rule="evenodd" /></clipPath>
    <image href=${plan.url} clip-path=${`url(#${clip})`} />
    <${Stitches} scrap=${scrap} at=${at} />
    ${cut && html`<g class="cut">
      ${(cut.corners_in ?? []).map((square) => html`<path class="square" d=${path(square, at)} />`)}
      ${(cut.lines_in ?? []).map((line) => html`<path class="ruler" d=${`M${line.map((p) => at(p).map(r1).join(' ')).join('L')}`} />`)}
    </g>`}
  </svg>`;
}

/** Hook: a photo with the outlines that wait on this device to be kept. */
export function useMended(photo) {
  const all = taps.use().filter((one) => !one.fault && one.method === 'PUT' && one.path.endsWith('/outline'));
  if (!photo || all.length === 0) return photo;
  const kept = new Map(all.map(({ path: at, body }) => [at, body]));
  return { ...photo, scraps: photo.scraps.map((scrap) => ({ ...scrap, ...kept.get(`/api/scraps/${encodeURIComponent(scrap.id)}/outline`) })) };
}
