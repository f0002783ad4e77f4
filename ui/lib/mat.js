// A piece on the mat: its picture with the cuts in order, what a plan gives and takes, and
// how she wants it cut.
import { html, useEffect, useState } from './html.js';
import { Choice, TypedLine } from './parts.js';
import { ask, useDocument } from './book.js';
import { area, bare, long, unit as unitWords, unitText } from './amount.js';
import { rulerWords, useSystem } from './maker.js';
import { Stitches, bounds, path, toPlan } from './plan.js';
import { t } from '../text/text.js';

const r1 = (x) => Math.round(x * 10) / 10;
const d = (line, at) => `M${line.map((p) => at(p).map(r1).join(' ')).join('L')}`;

/** Inches to pixels, y upward, for a piece that is in no photo. */
const plain = ([x, y]) => [x * 48, -y * 48];

/** By how much to turn the picture so that a cut runs upright, -90 to 90 degrees. */
function uprightBy([from, to], at) {
  const [x0, y0] = at(from);
  const [x1, y1] = at(to);
  const turn = (90 - Math.atan2(y1 - y0, x1 - x0) * 180 / Math.PI) % 180;
  return turn > 90 ? turn - 180 : turn <= -90 ? turn + 180 : turn;
}

const turner = (degrees) => {
  const [c, s] = [Math.cos(degrees * Math.PI / 180), Math.sin(degrees * Math.PI / 180)];
  return ([x, y]) => [c * x - s * y, s * x + c * y];
};

/** Whether the mat is turned before cut `made`: it runs another way than the one before. */
export function isTurned(cut, made) {
  const lines = cut.lines_in ?? [];
  if (made < 1 || made >= lines.length) return false;
  const apart = Math.abs(uprightBy(lines[made], plain) - uprightBy(lines[made - 1], plain));
  return Math.min(apart, 180 - apart) > 45;
}

/** The pieces of a plan: squares of one size, or of several. */
const piecesOf = (cut) => cut.corners_in ?? (cut.pieces ?? []).map((one) => one.corners_in);

/**
 * As the piece lies before her: the next cut runs away from her. Cuts that are made are
 * sewn; the next one is laid out with its number; the rest wait.
 *
 * plan  the picture that it lies in; null for a piece that is in no photo
 */
export function MatPicture({ plan, scrap, cut, made, label }) {
  const at = plan ? toPlan(plan) : plain;
  const lines = cut.lines_in ?? [];
  const next = lines[made];
  const facing = next ?? lines.at(-1);
  const turn = facing ? uprightBy(facing, at) : 0;
  const turned = turner(turn);
  const seen = (p) => turned(at(p));
  const box = bounds([...scrap.outline_in, ...lines.flat()].map(seen));
  const [wide, high] = [box.right - box.left, box.top - box.bottom];
  const size = Math.max(wide, high);
  const pad = size * 0.08 + 2;
  const clip = `mat-${scrap.id}`;
  const rings = [scrap.outline_in, ...(scrap.holes_in ?? [])].map((ring) => path(ring, at)).join('');
  const tag = size * 0.032;
  const [[x, y], [x1, y1]] = next ? next.map(seen) : [[0, 0], [0, 1]];
  const run = Math.hypot(x1 - x, y1 - y) || 1;
  const sizes = cut.pieces ?? [];
  return html`<svg class="scrap-picture mat-picture" role="img" aria-label=${label}
    viewBox=${[box.left - pad, box.bottom - pad, wide + 2 * pad, high + 2 * pad].map(r1).join(' ')}>
    <g transform=${`rotate(${r1(turn)})`}>
      ${plan && html`<clipPath id=${clip}><path d=${rings} clip-rule="evenodd" /></clipPath>
        <image href=${plan.url} clip-path=${`url(#${clip})`} />`}
      ${!plan && html`<path class="mat-cloth" d=${rings} fill-rule="evenodd" />`}
      <${Stitches} scrap=${scrap} at=${at} />
      <g class="cut">${piecesOf(cut).map((square) => html`<path class="square" d=${path(square, at)} />`)}</g>
      <g class="mat-lines">
        ${lines.map((line, i) => i !== made && html`<path class=${i < made ? 'made' : 'later'} d=${d(line, at)} />`)}
        ${next && html`<path class="next-under" d=${d(next, at)} /><path class="next" d=${d(next, at)} />`}
      </g>
    </g>
    <g class="mat-lines">
      ${sizes.map((one) => {
        const [[ax, ay], , [bx, by]] = one.corners_in.map(seen);
        return html`<text class="mat-size" x=${r1((ax + bx) / 2)} y=${r1((ay + by) / 2)} dy="0.36em" text-anchor="middle"
          font-size=${r1(Math.min(tag * 1.1, Math.abs(bx - ax) * 0.3))}>${bare(one.width_in)}</text>`;
      })}
      ${next && html`<circle class="tag" cx=${x - (x1 - x) / run * tag} cy=${y - (y1 - y) / run * tag} r=${tag} />
        <text x=${x - (x1 - x) / run * tag} y=${y - (y1 - y) / run * tag} font-size=${tag * 1.2} dy="0.36em" text-anchor="middle">${made + 1}</text>`}
    </g>
  </svg>`;
}

const across = (width, height, system) => (width === height ? long(width, system)
  : `${bare(width, system)} × ${long(height, system)}`);

const bit = ({ width_in: width, height_in: height, string }, system) => t(string ? 'mat.string' : 'mat.bit',
  { size: across(width, height, system) });

/** Of each size that was wanted, how many a plan gives. */
export const perWant = (cut, wants) => wants.map((want, i) => ({
  ...want, n: (cut.pieces ?? []).filter((one) => one.want === i + 1).length,
}));

function MixFacts({ cut, wants }) {
  const system = useSystem();
  const given = perWant(cut, wants).filter(({ n }) => n > 0);
  return html`<ul class="plain-list">${given.map((one, i) => html`<li key=${i}>
      <strong>${t('mat.pieces', { n: one.n, size: across(one.width_in, one.height_in, system) })}</strong>
      ${one.needed > 0 && html` <span class="quiet">${t('mat.needed', { n: one.needed })}</span>`}
    </li>`)}</ul>
    <p class="says">${given.length === 0 ? t('mat.no.piece') : cut.exact ? t('mat.worth.most') : t('mat.worth', { share: Math.floor(100 * cut.value / cut.bound) })}</p>`;
}

/** What a plan gives and takes, in a few lines and a list. */
export function PlanFacts({ cut, other, unit, wants }) {
  const system = useSystem();
  const left = cut.leftovers ?? [];
  return html`${wants
      ? html`<${MixFacts} cut=${cut} wants=${wants} />`
      : html`<p class="says"><strong>${t('mat.gives', { n: cut.squares, unit: unitWords(unit) })}</strong>
        ${' '}${cut.squares >= cut.bound ? t('mat.most') : t('mat.bound', { n: cut.bound })}</p>`}
    <p class="says">${t('mat.takes', cut)}</p>
    ${cut.waste_sq_in !== undefined && html`<p class="says quiet">${t('mat.waste', { area: area(cut.waste_sq_in, system) })}</p>`}
    ${other && html`<p class="says">${t(other.squares > cut.squares ? 'mat.or.more' : 'mat.or.less', other)}</p>`}
    ${left.length > 0 && html`<details><summary>${t('mat.left', { n: left.length })}</summary>
      <ul>${left.map((one, i) => html`<li key=${i}>${bit(one, system)}</li>`)}</ul></details>`}`;
}

/** Where she is in the cuts: "Turn the mat. Cut 3 of 9, with laying 2 of the ruler". */
export const whereIn = (cut, made) => {
  const all = (cut.lines_in ?? []).length;
  if (made >= all) return t('mat.done');
  return `${isTurned(cut, made) ? `${t('mat.turn')} ` : ''}${t('mat.cut', { n: made + 1, all, pass: cut.lines_pass?.[made] })}`;
};

/** Cut, one back, all cut. */
export const CutButtons = ({ cut, made, onMade }) => {
  const all = (cut.lines_in ?? []).length;
  return html`<p class="middling" role="status">${whereIn(cut, made)}</p>
    <div class="row">
      <button class="button" disabled=${made >= all} onClick=${() => onMade(made + 1)}>${t('mat.cut.it')}</button>
      <button class="plain" disabled=${made <= 0} onClick=${() => onMade(made - 1)}>${t('mat.back')}</button>
      ${made < all && html`<button class="plain" onClick=${() => onMade(all)}>${t('mat.all')}</button>`}
    </div>`;
};

/** Hook: the plans for a request (JSON text; '' asks nothing). The last ones stay in view
 *  while others are on their way, and beside the fault of a request that was refused. */
export function useCut(body) {
  const [answer, setAnswer] = useState({});
  useEffect(() => {
    if (!body) return undefined;
    let is = true; // still the newest question
    ask('/api/cut', JSON.parse(body)).then(
      (cut) => { if (is) setAnswer({ cut }); },
      (fault) => { if (is) setAnswer((last) => ({ cut: last.cut, fault })); },
    );
    return () => { is = false; };
  }, [body]);
  return answer;
}

// ---- How she wants it cut ------------------------------------------------------------------

/** The fields of a request: what she left alone goes by her settings. */
export const asked = ({ wants = [], other = '', ...how }) => {
  const want = wants.includes('needed') ? 'needed' : [...wants, other.trim()].filter(Boolean).join(',');
  const fields = Object.entries(how).filter(([, value]) => value !== '' && value !== false);
  return { ...Object.fromEntries(fields), ...(want && { want }) };
};

/** Sizes that makers keep beside their unit; in inches, as the trade has them. */
const usualSizes = (unit) => [
  { value: unitText(unit), words: unitWords(unit) },
  { value: '5 in', words: unitWords(5) },
  { value: '10 in', words: unitWords(10) },
  { value: '1 1/2 x 10 in', words: t('how.string', { size: `${bare(1.5)} × ${unitWords(10)}` }) },
  // Two half-square triangles that finish as a unit square does, from two squares.
  { value: unitText(unit + 3 / 8), words: t('how.triangles', { size: unitWords(unit + 3 / 8) }) },
];

const Line = ({ words, value, such, onValue }) => html`<label class="field">${words}
  <${TypedLine} class="short" placeholder=${such} value=${value ?? ''} onSaid=${onValue} /></label>`;

const Tick = ({ words, value, onValue }) => html`<label class="tick">
  <input type="checkbox" checked=${Boolean(value)} onChange=${(e) => onValue(e.currentTarget.checked)} /> ${words}</label>`;

function SeveralSizes({ how, set, unit }) {
  const wants = how.wants ?? [];
  const toggle = (value) => set('wants')(wants.includes(value)
    ? wants.filter((one) => one !== value)
    : value === 'needed' ? ['needed'] : [...wants.filter((one) => one !== 'needed'), value]);
  return html`<fieldset class="choice"><legend>${t('how.several')}</legend>
    <div class="chips">${[{ value: 'needed', words: t('how.needed') }, ...usualSizes(unit)].map(({ value, words }) => html`<label key=${value} class="chip">
      <input type="checkbox" checked=${wants.includes(value)} onChange=${() => toggle(value)} /><span>${words}</span>
    </label>`)}</div>
    ${wants.length > 0 && !wants.includes('needed') && html`<${Line} words=${t('how.other')} such="3in:2, 4in:5" value=${how.other} onValue=${set('other')} />`}
    ${wants.length > 0 && html`<${Tick} words=${t('how.direction')} value=${how.no_turn} onValue=${set('no_turn')} />
      <${Tick} words=${t('how.stages')} value=${how.stages === 'two'} onValue=${(is) => set('stages')(is ? 'two' : '')} />`}
  </fieldset>`;
}

/** Another unit, ruler, direction or edge for once; or several sizes. */
export function HowToCut({ how, onHow, unit }) {
  const { data } = useDocument('/api/tools');
  const set = (field) => (value) => onHow({ ...how, [field]: value });
  const rulers = data?.rulers ?? [];
  return html`<details class="by-hand"><summary>${t('how')}</summary>
    <div class="fields">
      <${Line} words=${t('how.unit')} such=${unitText(unit)} value=${how.unit} onValue=${set('unit')} />
      <${Line} words=${t('how.trim')} such=${data ? unitText(data.cutting.trim_in) : ''} value=${how.trim} onValue=${set('trim')} />
      ${rulers.length > 1 && html`<label class="field">${t('how.ruler')}
        <select value=${how.ruler ?? rulers[0].ruler} onChange=${(e) => set('ruler')(e.currentTarget.value)}>
          ${rulers.map((one) => html`<option key=${one.ruler} value=${one.ruler}>${rulerWords(one.ruler)}</option>`)}
        </select></label>`}
    </div>
    <${Choice} name="angles" legend=${t('how.angles')} value=${how.angles ?? 'grain'} onChange=${set('angles')} options=${[
      { value: 'grain', words: t('how.grain') },
      { value: 'free', words: t('how.free') },
    ]} />
    <${Tick} words=${t('how.selvage')} value=${how.selvage} onValue=${set('selvage')} />
    <${SeveralSizes} how=${how} set=${set} unit=${unit} />
  </details>`;
}
