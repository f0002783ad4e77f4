// The next block, at the machine: composed from the top of the basket. A tap on a patch keeps
// it there or puts another fabric in its place; some of the rest can be turned over.
import { html, useState } from '../lib/html.js';
import { Cloth, Fold, Sheet, Trouble, Waiting, useSettled } from '../lib/parts.js';
import { ask, refresh, sayFault, useDocument } from '../lib/book.js';
import { useDraft } from '../lib/draft.js';
import { asColour, has, kindWords, translated, t } from '../text/text.js';
import { to } from '../lib/route.js';
import { cross, quiltApi as api, useKeptCrosses } from './planfacts.js';

/** Paper stands for background cloth, which is no square of the basket. */
function Patch({ patch, half = '', onOpen, label, locked }) {
  const paper = !patch.fabric;
  return html`<button class=${`patch ${half} ${paper ? 'paper' : ''} ${locked ? 'locked' : ''}`} aria-label=${locked ? t('next.patch.locked', { patch: label(patch) }) : label(patch)} onClick=${() => onOpen(patch)} disabled=${paper}>
    ${!paper && html`<${Cloth} fabric=${patch} />`}
    ${paper && !half && html`<span class="role" aria-hidden="true">${t(`role.${patch.role}`)}</span>`}
  </button>`;
}

function Block({ block, onOpen, locked }) {
  const side = block.patches.length;
  return html`<div class="block" role="group" aria-label=${t('next.block', { kind: kindWords(block.kind) })}
    ref=${(it) => { if (it) it.style.setProperty('--side', side); }}>
    ${block.patches.flatMap((row, r) => row.map((patch, c) => {
      const label = (one) => t('next.patch', { row: r + 1, column: c + 1, fabric: one.name || t(one.fabric ? 'fabric.some' : `role.${one.role}`) });
      if (!patch.other) return html`<${Patch} key=${`${r}-${c}`} patch=${patch} onOpen=${() => onOpen([r, c, 0])} label=${label} locked=${locked.has(`${r},${c},0`)} />`;
      return html`<span key=${`${r}-${c}`} class=${`halves ${patch.split}`}>
        <${Patch} patch=${patch} half="first" onOpen=${() => onOpen([r, c, 0])} label=${label} locked=${locked.has(`${r},${c},0`)} />
        <${Patch} patch=${patch.other} half="second" onOpen=${() => onOpen([r, c, 1])} label=${label} locked=${locked.has(`${r},${c},1`)} />
      </span>`;
    }))}
  </div>`;
}

const mostFound = 60; // of a basket of decades; the words find the others

/** What she sewed instead: any fabric of the basket. */
function Another({ onUse }) {
  const [typed, setTyped] = useState('');
  const find = useSettled(typed, 250);
  const { data, last, fault } = useDocument(`/api/fabrics?${new URLSearchParams({ basket: true, limit: mostFound, ...(find && { find: asColour(find) }) })}`);
  return html`<label class="setting"><span>${t('next.another.find')}</span><input type="text" autocomplete="off" onInput=${(e) => setTyped(e.currentTarget.value.trim())} /></label>
    ${fault && html`<${Trouble} fault=${fault} />`}
    <ul class="fabrics plain-list">${((data ?? last)?.fabrics ?? []).map((one) => html`<li key=${one.fabric}><button class="fabric-row" onClick=${() => onUse(one)}>
      <${Cloth} fabric=${one} /><span class="grow">${one.name || t('fabric.some')}</span>
    </button></li>`)}</ul>`;
}

function PatchSheet({ patch, locked, onLock, onUse, onClose }) {
  return html`<${Sheet} title=${patch.name ?? t(`role.${patch.role}`)} onClose=${onClose}>
    <${Cloth} fabric=${patch} className="big" label=${patch.name ?? ''} />
    <p>${t('next.role', { role: t(`role.${patch.role}`) })}</p>
    <button class="button" onClick=${onLock}>${t(locked ? 'next.unlock' : 'next.lock')}</button>
    ${patch.alternatives?.length > 0 && html`<h3>${t('next.alternatives')}</h3>
      <ul class="fabrics plain-list">${patch.alternatives.map((one) => html`<li key=${one.fabric}><button class="fabric-row" onClick=${() => onUse(one)}>
        <${Cloth} fabric=${one} /><span class="grow">${one.name ?? t('fabric.some')}</span>
      </button></li>`)}</ul>`}
    <${Fold} class="another" title=${t('next.another')}>${() => html`<${Another} onUse=${onUse} />`}</${Fold}>
  </${Sheet}>`;
}

const halfOf = (block, [r, c, half]) => (half ? block.patches[r][c].other : block.patches[r][c]);

/** Rows of fabrics as the program reads them; `which` picks, by row, column and half. */
const rowsOf = (block, which) => block.patches.map((row, r) => row.map((patch, c) => {
  const of = (half) => (which(r, c, half) ? halfOf(block, [r, c, half]).fabric : null);
  return patch.other ? [of(0), of(1)] : of(0);
}));

/** The block with another fabric at one patch. */
const withFabric = (block, [r, c, half], { fabric, name, srgb, swatch }) => ({
  ...block,
  patches: block.patches.map((row, i) => (i !== r ? row : row.map((patch, k) => {
    if (k !== c) return patch;
    return half ? { ...patch, other: { ...patch.other, fabric, name, srgb, swatch } } : { ...patch, fabric, name, srgb, swatch };
  }))),
});

const none = new Set();

export function Next({ name, quilt }) {
  const [mine, setMine] = useDraft(`next ${name}`, null); // what she has settled: { place, block, locked, seed }
  const [busy, setBusy] = useState(false);
  const [open, setOpen] = useState(null); // [row, column, half]
  const path = api(name, '/next?count=4&seed=1');
  const { data, last, fault } = useDocument(quilt.left > 0 ? path : null);
  const kept = useKeptCrosses(name);
  const shown = data ?? last;
  if (quilt.left === 0) return html`<p class="middling">${t('next.none')}</p>`;
  if (fault && !shown) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  // Some blocks ahead, so that the work goes on while the Wi-Fi is away.
  const given = shown?.blocks?.find((one) => !kept.get(String(one.place)));
  const held = mine && String(mine.place) === String(given?.place) ? mine : null;
  const locked = held ? new Set(held.locked) : none;
  const block = held?.block ?? given;
  if (!block) return shown ? html`<p class="middling">${t(shown.blocks?.length > 0 ? 'next.kept' : 'next.none')}</p>` : html`<${Waiting} />`;
  const [row, column] = block.place ?? [];
  const settle = ({ locked: now = locked, ...more }) => setMine({ place: block.place, block, locked: [...now], seed: held?.seed ?? 1, ...more });
  const isLocked = (r, c, half) => locked.has(`${r},${c},${half}`);
  const lock = (at, on = true) => {
    const next = new Set(locked);
    if (on) next.add(at.join());
    else next.delete(at.join());
    return next;
  };
  const turnOver = async () => {
    setBusy(true);
    const seed = (held?.seed ?? 1) + 1;
    try {
      const answer = await ask(api(name, '/next'), { count: 1, seed, shown: rowsOf(block, () => true), locked: rowsOf(block, isLocked) });
      settle({ block: answer.blocks[0], seed });
    } catch (trouble) {
      sayFault(trouble);
    }
    setBusy(false);
  };
  const made = async () => {
    setBusy(true);
    try {
      // What is locked she has looked at: it is written down as sewn. The rest is her hand's.
      const said = block.patches.flatMap((line, r) => line.map((patch, c) => (!patch.other && isLocked(r, c, 0) ? patch.fabric : null)));
      await cross(name, [row, column], true, said.some(Boolean) ? said : undefined);
    } catch { /* said already */ }
    setBusy(false);
  };
  return html`<div class="next">
    <${Block} block=${block} onOpen=${setOpen} locked=${locked} />
    ${(shown.warnings ?? []).filter((one) => one.code !== 'next.short').map((one) => html`<p key=${one.code} class="caution">${has(`warning.${one.code}`) ? t(`warning.${one.code}`) : translated(one.message)}</p>`)}
    <p class="where">${t('next.where', { row, column, kind: kindWords(block.kind), turn: block.turn ?? 0 })}</p>
    <div class="thumb pair">
      <button class="button" onClick=${turnOver} disabled=${busy}>${t('next.turn')}</button>
      <button class="button main" onClick=${made} disabled=${busy}>${t('next.made')}</button>
    </div>
    <p class="caution">${t('caution.iron')}</p>
    <p><a class="button" href=${to('quilts', name, 'day')}>${t('day')}</a></p>
    ${open && html`<${PatchSheet} patch=${halfOf(block, open)} locked=${isLocked(...open)} onClose=${() => setOpen(null)}
      onLock=${() => { settle({ locked: lock(open, !isLocked(...open)) }); setOpen(null); }}
      onUse=${(one) => { settle({ block: withFabric(block, open, one), locked: lock(open) }); setOpen(null); }} />`}
  </div>`;
}
