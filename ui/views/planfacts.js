// What a quilt needs, and the words for its parts.
import { html } from '../lib/html.js';
import { Sewing } from '../lib/parts.js';
import { change } from '../lib/book.js';
import { taps } from '../lib/taps.js';
import { count, long, metres, mixed, size, unit as unitWords } from '../lib/amount.js';
import { useSystem } from '../lib/maker.js';
import { has, kindWords, t } from '../text/text.js';
import { keptCell } from '../lib/cell.js';

/** What is asked of the cloth, by quilt: kept on this device, sent with every list. */
export const wishes = keptCell('cloth', {});

/** Those of one quilt as fields of a request. */
export const wishesOf = (name, all) => Object.fromEntries(Object.entries(all[name] ?? {}).filter(([, value]) => value !== ''));

const roleNames = { S: 'scrap', B: 'background', L: 'light', D: 'dark', A: 'accent' };

export const stateWords = (state) => (has(`state.${state}`) ? t(`state.${state}`) : state);

export const quiltApi = (name, what = '') => `/api/quilts/${encodeURIComponent(name)}${what}`;

/** "Made it": crosses a place off, or takes the cross away again. Places count from 1. */
export const cross = (quilt, [row, column], made, patches) => change('POST', quiltApi(quilt, '/made'), { place: [row, column], undo: !made, patches }, {
  done: t(made ? 'chart.crossed' : 'chart.uncrossed', { row, column }), keep: true,
});

/** Hook: what waits on this device of one quilt's crosses: "row,column" from 1 to made or not. */
export function useKeptCrosses(quilt) {
  const path = quiltApi(quilt, '/made');
  return new Map(taps.use().filter((one) => one.path === path && !one.fault).map(({ body }) => [String(body.place), !body.undo]));
}

/** What a quilt of this size needs, against what is in the basket. */
export function PlanFacts({ plan, buy, basket }) {
  const system = useSystem();
  const scraps = plan.squares?.S ?? 0;
  const have = basket?.units?.find((one) => Math.abs(one.unit_in - plan.unit_in) < 1e-4)?.squares ?? (basket?.units?.length ? 0 : basket?.squares ?? 0);
  return html`<div class="plan-facts">
    <p class="large">${size(plan.finished_in, system)}</p>
    <p class="quiet">${t('plan.finished')}</p>
    ${(plan.borders ?? []).length > 0 && html`<ul class="plain-list quiet">
      <li>${t('plan.body', { size: size(plan.body_in, system) })}</li>
      ${plan.borders.map((one, i) => html`<li key=${i}>${t('plan.border', { n: i + 1, width: long(one.width_in, system), role: t(`role.${one.role}`), size: size(one.finished_in, system) })}</li>`)}
    </ul>`}
    ${(plan.notes ?? []).map((note) => html`<p key=${note.code} class="caution">${has(`note.${note.code}`) ? t(`note.${note.code}`) : note.message}</p>`)}
    <ul class="kinds plain-list">${plan.kinds.map((kind) => html`<li key=${kind.kind}>
      <strong>${count(kind.blocks)}</strong> ${kindWords(kind.kind)}</li>`)}</ul>
    <${Sewing} done=${scraps > 0 ? Math.min(1, have / scraps) : 1} label=${t('plan.squares')} quiet
      doing=${have >= scraps ? t('plan.enough', { need: count(scraps), have: count(have) }) : t('plan.short', { need: count(scraps), have: count(have) })} />
    ${Object.entries(plan.squares ?? {}).filter(([role, n]) => role !== 'S' && n > 0).map(([role, n]) => html`<p key=${role}>
      ${t('plan.role', { n: count(n), role: t(`role.${roleNames[role] ?? role}`), unit: unitWords(plan.unit_in) })}</p>`)}
    ${(plan.triangles ?? []).map((one) => html`<p key=${String(one.roles)}>${t('plan.triangles', { n: count(one.count) })}</p>`)}
    ${(buy?.items ?? []).slice(0, 3).map((item) => html`<p key=${item.for}><strong>${t('buy.amount', {
      amount: bought(item, system), for: itemWords(item.for),
    })}</strong></p>`)}
  </div>`;
}

/** What to ask for in the shop. */
export const bought = (item, system) => (system === 'metric' ? t('buy.m', { n: metres(item.buy_m) }) : t('buy.yd', { n: mixed(item.buy_yd) }));

export const itemWords = (what) => (has(`item.${what}`) ? t(`item.${what}`) : has(`role.${what}`) ? t(`role.${what}`) : what);
