// A day of chain piecing: some blocks at once and the squares to pull for them, by fabric.
// What she has pulled lies on her table, so a day's blocks stay as they are, also when some
// are crossed off or the page is opened again, until she asks for others.
import { html, useEffect, useState } from '../lib/html.js';
import { keptCell } from '../lib/cell.js';
import { Choice, Cloth } from '../lib/parts.js';
import { ask, change, sayFault } from '../lib/book.js';
import { has, kindWords, translated, t } from '../text/text.js';
import { cross, quiltApi as api } from './planfacts.js';

const days = keptCell('piecing', {}); // by quilt: { blocks, pull, seed, ticked }

/** A block without what only its tapping needs, to be kept on the device. */
function plain({ kind, turn, place, patches }) {
  const one = ({ fabric, name, srgb, swatch, split, other }) => ({ fabric, name, srgb, swatch, split, other: other && one(other) });
  return { kind, turn, place, patches: patches.map((row) => row.map(one)) };
}

/** Numbers tell which cloth of the list a patch is, for those whose colours are close. */
function Patches({ block, numbers }) {
  const cloth = (patch, half = '', key = half) => html`<span key=${key} class=${`patch ${half} ${patch.fabric ? '' : 'paper'}`}>
    ${patch.fabric && html`<${Cloth} fabric=${patch} /><span class="number">${numbers.get(patch.fabric)}</span>`}</span>`;
  return html`<div class="block small" aria-hidden="true" ref=${(it) => { if (it) it.style.setProperty('--side', block.patches.length); }}>
    ${block.patches.flatMap((row, r) => row.map((patch, c) => (patch.other
      ? html`<span key=${`${r}-${c}`} class=${`halves ${patch.split}`}>${cloth(patch, 'first')}${cloth(patch.other, 'second')}</span>`
      : cloth(patch, '', `${r}-${c}`))))}
  </div>`;
}

export function Day({ name, quilt }) {
  const all = days.use();
  const [count, setCount] = useState(10);
  const [busy, setBusy] = useState(false);
  const day = all[name];
  const keep = (it) => days.set((was) => ({ ...was, [name]: it }));
  const fetchDay = async (seed) => {
    setBusy(true);
    try {
      const { blocks, pull, warnings } = await ask(api(name, '/next'), { count, seed });
      keep({ blocks: blocks.map(plain), pull, warnings, seed, count, ticked: [] });
    } catch (trouble) {
      sayFault(trouble);
    }
    setBusy(false);
  };
  // A day that is sewn to its end makes room for the next.
  const isMade = ({ place: [r, c] }) => Boolean(quilt.places[r - 1]?.[c - 1]?.block);
  const open = day ? day.blocks.filter((one) => !isMade(one)) : [];
  useEffect(() => { if (quilt.left > 0 && (!day || open.length === 0)) fetchDay((day?.seed ?? 0) + 1); }, [name]);
  const numbers = new Map(day?.pull.map((one, i) => [one.fabric, i + 1]));
  const tick = (i) => keep({ ...day, ticked: day.ticked.includes(i) ? day.ticked.filter((one) => one !== i) : [...day.ticked, i] });
  const madeAll = () => change('POST', api(name, '/made'), { places: open.map((one) => one.place) }, { done: (it) => it.done })
    .then(() => fetchDay(day.seed + 1), () => {});
  const squares = day?.pull.reduce((sum, one) => sum + one.squares, 0) ?? 0;
  if (quilt.left === 0) return html`<p class="middling">${t('next.none')}</p>`;
  return html`<div class="day">
    <${Choice} name="day-count" legend=${t('day.count')} value=${count} onChange=${setCount} options=${[5, 10, 20].map((value) => ({ value, words: t('day.n', { n: value }) }))} />
    <div class="row"><button class="button" disabled=${busy} onClick=${() => fetchDay((day?.seed ?? 0) + 1)}>${t('day.others', { n: count })}</button>
      ${day && open.length === day.blocks.length && html`<a class="plain" target="_blank" rel="noopener" href=${`/api/print/next.pdf?${new URLSearchParams({ quilt: name, count: day.count, seed: day.seed })}`}>${t('day.paper')}</a>`}</div>
    ${(day?.warnings ?? []).map((one) => html`<p key=${one.code} class="caution">${has(`warning.${one.code}`) ? t(`warning.${one.code}`) : translated(one.message)}</p>`)}
    ${day && html`<h2>${t('day.pull', { n: squares })}</h2>
      <ol class="pulls plain-list">${day.pull.map((one, i) => html`<li key=${one.fabric ?? i}><label class="pull">
        <input type="checkbox" checked=${day.ticked.includes(i)} onChange=${() => tick(i)} />
        <span class="pulled"><${Cloth} fabric=${one} /><span class="number" aria-hidden="true">${i + 1}</span></span>
        <span class="grow">${t('day.of', { n: one.squares, fabric: one.name || t('fabric.some') })}</span></label></li>`)}</ol>
      <h2>${t('day.blocks')}</h2>
      <ol class="day-blocks plain-list">${day.blocks.map((one) => html`<li key=${String(one.place)} class=${isMade(one) ? 'sewn' : ''}>
        <${Patches} block=${one} numbers=${numbers} />
        <p>${t('next.where', { row: one.place[0], column: one.place[1], kind: kindWords(one.kind), turn: one.turn })}</p>
        ${isMade(one) ? html`<p class="quiet">${t('day.sewn')}</p>` : html`<button class="button" aria-label=${`${t('next.made')}: ${t('day.place', { row: one.place[0], column: one.place[1] })}`}
          onClick=${() => cross(name, one.place, true).catch(() => {})}>${t('next.made')}</button>`}
      </li>`)}</ol>
      <p class="caution">${t('caution.iron')}</p>
      ${open.length > 1 && html`<button class="button main" disabled=${busy} onClick=${madeAll}>${t('day.all', { n: open.length })}</button>`}`}
  </div>`;
}
