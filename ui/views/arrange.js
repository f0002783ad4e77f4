// Arrange: the wall of finished blocks. The program proposes and the picture improves while
// it searches; nothing moves in the book before she keeps it. By hand a tap chooses a block
// and a second tap changes it with another; a drag of the chosen one does the same.
import { html, useEffect, useRef, useState } from '../lib/html.js';
import { Choice, Seam, Sewing, Sheet, Trouble, Waiting } from '../lib/parts.js';
import { Fault, ask, change, get, refresh, sayFault, useDocument } from '../lib/book.js';
import { useDraft } from '../lib/draft.js';
import { follow } from '../lib/photos.js';
import { Wall, useSight } from '../lib/wall.js';
import { has, kindWords, translated, t } from '../text/text.js';
import { quiltApi as api } from './planfacts.js';

const weights = ['seams', 'spread', 'nesting'];
const usual = { seams: 1, spread: 1, nesting: 0, layout: 'none', whole: false, seconds: 5 };

function Wishes({ wish, setWish }) {
  const set = (more) => setWish({ ...wish, ...more });
  return html`<details class="wishes"><summary>${t('arrange.wishes')}</summary>
    ${weights.map((one) => html`<label key=${one} class="slider"><span>${t(`arrange.weigh.${one}`)}</span>
      <input type="range" min="0" max="3" step="0.5" value=${wish[one]} aria-valuetext=${t(`arrange.much.${Math.min(3, Math.ceil(wish[one]))}`)}
        onInput=${(e) => set({ [one]: Number(e.currentTarget.value) })} />
      <span class="quiet">${t(`arrange.much.${Math.min(3, Math.ceil(wish[one]))}`)}</span></label>`)}
    <${Choice} name="value-layout" legend=${t('arrange.layout')} value=${wish.layout} onChange=${(layout) => set({ layout })}
      options=${['none', 'rings', 'diagonals', 'gradient'].map((value) => ({ value, words: t(`arrange.layout.${value}`) }))} />
    <${Choice} name="whole" legend=${t('arrange.open')} value=${wish.whole ? 'whole' : 'stay'} onChange=${(value) => set({ whole: value === 'whole' })}
      options=${['stay', 'whole'].map((value) => ({ value, words: t(`arrange.open.${value}`) }))} />
    <${Choice} name="seconds" legend=${t('arrange.seconds')} value=${wish.seconds} onChange=${(seconds) => set({ seconds })}
      options=${[2, 5, 20, 60].map((value) => ({ value, words: t('arrange.seconds.n', { n: value }) }))} />
  </details>`;
}

/** The spread as a picture: the quilt in large patches, those that crowd ringed. */
function Density({ rows }) {
  return html`<table class="density"><caption class="unseen">${t('arrange.density')}</caption><tbody>${rows.map((row, r) => html`<tr key=${r}>${row.map((cell, c) => html`
    <td key=${c} class=${cell.crowding > 1.06 ? 'crowded' : ''}>
      <i class="fill" aria-hidden="true" ref=${(it) => { if (it) it.style.backgroundColor = cell.srgb ? `rgb(${cell.srgb.join()})` : ''; }}></i>
      <span class="unseen">${cell.crowding === null ? t('arrange.density.open') : t(cell.crowding > 1.06 ? 'arrange.density.clump' : 'arrange.density.even')}</span>
    </td>`)}</tr>`)}</tbody></table>
    <p class="quiet">${t('arrange.density.says')}</p>`;
}

/** What an arrangement is worth, in words. */
const wordsOf = (found) => ['seams', 'spread', 'value'].filter((one) => found.levels?.[one]).map((one) => t(`arrange.says.${one}.${found.levels[one]}`));

function Why({ found, onWorst, onClose }) {
  return html`<${Sheet} title=${t('arrange.why')} onClose=${onClose}>
    <ul class="plain-list words">${[...wordsOf(found), t('arrange.says.nesting', { n: Math.round(100 * found.nesting) })].map((one) => html`<li key=${one}>${one}</li>`)}</ul>
    ${found.warnings.map((one) => html`<p key=${one.code} class="caution">${has(`warning.${one.code}`) ? t(`warning.${one.code}`) : translated(one.message)}</p>`)}
    <${Seam} />
    <h3>${t('arrange.density')}</h3>
    <${Density} rows=${found.density} />
    ${found.worst.length > 0 && html`<h3>${t('arrange.worst')}</h3>
      <ol class="plain-list">${found.worst.map((one, i) => html`<li key=${i}><button class="plain" onClick=${() => onWorst(one)}>
        ${t('arrange.pair', { r: one.places[0][0], c: one.places[0][1], r2: one.places[1][0], c2: one.places[1][1] })}</button></li>`)}</ol>`}
  </${Sheet}>`;
}

const without = (rows, [r, c], lay) => rows.map((row, i) => (i === r ? row.map((one, k) => (k === c ? lay : one)) : row));

export function Arrange({ name, quilt }) {
  const { data: wall, fault } = useDocument(api(name, '/wall'));
  const view = useSight();
  // What was found and what is being looked for outlive the page: proposals, the newest last,
  // each with the blocks pinned in it; which is in view (-1: as they lie in the book);
  // { job, begun, seconds, held } while it runs.
  const [half, setHalf] = useDraft(`arrange ${name}`, { wish: usual, kept: [], shown: -1, running: null });
  const set = (more) => setHalf((now) => ({ ...now, ...more }));
  const { wish, running } = half;
  const setShown = (at) => set({ shown: at });
  const here = useRef(true);
  const [beside, setBeside] = useState(null); // which is laid beside it; null: none
  const [judged, setJudged] = useState(null); // what was found of how they lie, and of which wall
  const [partial, setPartial] = useState(null);
  const [, tick] = useState(0);
  const [chosen, setChosen] = useState(null);
  const [cursor, setCursor] = useState(null);
  const [why, setWhy] = useState(null);

  /** Follows a search to its end, also one that was begun before the page was left. */
  const attend = async (job) => {
    try {
      const result = await follow(job, ({ partial: one }) => one && here.current && setPartial(one));
      if (!here.current) return; // who looks at it next, attends to it
      setHalf((now) => {
        const next = [...now.kept, { ...result, held: now.running?.held ?? [] }].slice(-4);
        return { ...now, kept: next, shown: next.length - 1, running: null };
      });
    } catch (trouble) {
      if (!here.current) return;
      sayFault(trouble);
      set({ running: null });
    }
    setPartial(null);
  };
  useEffect(() => {
    here.current = true;
    // The program may have been started anew since, and know nothing of it.
    if (running) get(`/api/jobs/${running.job}`).then(() => attend(running.job), () => set({ running: null }));
    return () => { here.current = false; };
  }, [name]);
  useEffect(() => {
    if (!running) return undefined;
    const clock = setInterval(() => tick((n) => n + 1), 250);
    return () => clearInterval(clock);
  }, [running]);

  if (fault && !wall) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  if (!wall) return html`<${Waiting} />`;
  if (wall.blocks.length === 0) return html`<p class="middling">${t('arrange.empty')}</p><p>${t('arrange.empty.how')}</p>`;

  // A proposal holds for the blocks that it lays.
  const blocks = (rows) => rows.flat().map((lay) => lay.block ?? '').sort().join();
  const now = blocks(wall.places);
  const found = half.kept.filter((one) => blocks(one.places) === now);
  const shown = Math.min(half.shown, found.length - 1);
  const proposal = found[shown];
  const places = partial?.places ?? proposal?.places ?? wall.places;
  const nameOf = (i) => (i < 0 ? t('arrange.now') : t('arrange.proposal', { n: i + 1 }));
  const placesOf = (i) => found[i]?.places ?? wall.places;
  const all = [-1, ...found.keys()];

  const search = async (from) => {
    setChosen(null);
    set({ kept: found, shown: found.length - 1 });
    try {
      // What she has pinned in the proposal lies where it is while the search goes on from it.
      const held = from === 'now' ? proposal?.held ?? [] : [];
      const pin = held.flatMap((block) => places.flatMap((row, r) => row.flatMap((lay, c) => (lay.block === block ? [`${r + 1},${c + 1}=${block}`] : []))));
      const start = from === 'now' && proposal ? { start: proposal.places, pin } : {};
      const { job } = await ask(api(name, '/arrange'), { ...wish, from, ...start, seed: half.seed ?? 1 });
      setBeside(null);
      set({ seed: (half.seed ?? 1) + 1, running: { job, begun: Date.now(), seconds: wish.seconds, held } });
      await attend(job);
    } catch (trouble) {
      sayFault(trouble);
    }
  };
  const stop = () => running && change('DELETE', `/api/jobs/${running.job}`, undefined, { quiet: true }).catch(() => {});
  const judge = async () => {
    try {
      const { job } = await ask(api(name, '/arrange'), { ...wish, seconds: 0 });
      const result = await follow(job);
      setJudged({ wall, worst: result.worst });
      setWhy(result);
    } catch (trouble) {
      sayFault(trouble);
    }
  };
  const keep = () => change('POST', api(name, '/arrange/keep'), { places: proposal.places }, { done: t('arrange.kept') })
    .then(() => { set({ kept: [], shown: -1 }); setBeside(null); }, () => {});

  // ---- by hand: in the proposal while one is in view, else in the book

  const words = ([r, c]) => t('arrange.place', {
    row: r + 1, column: c + 1, kind: kindWords(wall.grid[r][c].kind),
    block: places[r][c].block, pinned: proposal?.held?.includes(places[r][c].block) || wall.blocks.some((block) => block.block === places[r][c].block && block.pinned),
  });
  const edit = (rows) => set({ kept: found.map((one, i) => (i === shown ? { ...one, places: rows, byHand: true } : one)), shown });
  const swap = (a, b) => {
    setChosen(null);
    const [one, other] = [wall.grid[a[0]][a[1]], wall.grid[b[0]][b[1]]];
    if (proposal) {
      if (one.kind !== other.kind) {
        sayFault(new Fault({ code: 'app.kinds-differ', message: t('arrange.differ'), hint: t('arrange.differ.hint') }));
        return;
      }
      const [x, y] = [places[a[0]][a[1]], places[b[0]][b[1]]];
      const turned = (lay, was, is) => ({ ...lay, turn: (lay.turn - was.turn + is.turn + 4) % 4 });
      edit(without(without(places, a, turned(y, other, one)), b, turned(x, one, other)));
      return;
    }
    change('POST', api(name, '/swap'), { a: [a[0] + 1, a[1] + 1], b: [b[0] + 1, b[1] + 1] }, { done: (it) => it.done }).catch(() => {});
  };
  const turn = () => {
    const [r, c] = chosen;
    const { step } = wall.grid[r][c];
    if (proposal && step < 4) {
      edit(without(places, chosen, { ...places[r][c], turn: (places[r][c].turn + step) % 4 }));
      return;
    }
    change('POST', api(name, '/turn'), { place: [r + 1, c + 1] }, { done: (it) => it.done }).catch(() => {});
  };
  const block = chosen && wall.blocks.find((one) => one.block === places[chosen[0]][chosen[1]].block);
  const pinInBook = () => change('POST', api(name, '/pin'), { place: [chosen[0] + 1, chosen[1] + 1], pinned: !block.pinned }, { done: (it) => it.done }).catch(() => {});
  const held = new Set(proposal?.held);
  const pinHere = () => {
    if (!held.delete(block.block)) held.add(block.block);
    set({ kept: found.map((one, i) => (i === shown ? { ...one, held: [...held] } : one)) });
  };
  const pin = () => (proposal ? pinHere() : pinInBook());
  const onTap = (place) => {
    setCursor(place);
    if (running) return;
    if (!chosen) {
      if (places[place[0]][place[1]].block) setChosen(place);
    } else if (String(place) === String(chosen)) setChosen(null);
    else swap(chosen, place);
  };
  const onKey = (key) => {
    const [r, c] = cursor ?? [0, 0];
    const step = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] }[key];
    if (step) {
      const row = Math.max(0, Math.min(wall.grid.length - 1, r + step[0]));
      setCursor([row, Math.max(0, Math.min(wall.grid[row].length - 1, c + step[1]))]);
    } else if (key === 'Enter' || key === ' ') onTap(cursor ?? [0, 0]);
    else if (key === 'Escape') setChosen(null);
    else if (key === 't' && chosen) turn();
    else if (key === 'p' && block) pin();
    else return false;
    return true;
  };
  const worst = partial ? [] : proposal ? (proposal.byHand ? [] : proposal.worst) : judged?.wall === wall ? judged.worst : [];
  const rings = worst.map((one) => one.places.map(([r, c]) => [r - 1, c - 1]));
  const one = (label, rows, marks, hands) => html`<${Wall} key=${label} wall=${wall} kinds=${quilt.kinds} places=${rows} label=${label} marks=${marks} view=${view}
    ...${hands ? { onTap, onDrag: swap, onKey } : {}} />`;
  const part = running ? Math.min(1, (Date.now() - running.begun) / 1000 / running.seconds) : 0;
  return html`<div class="arrange">
    ${wall.strangers > 0 && html`<p class="caution">${t('arrange.strangers', { n: wall.strangers })}</p>`}
    ${found.length > 0 && !running && html`<div class="row">
      <${Choice} name="proposal" legend=${t('arrange.which')} quiet value=${shown} onChange=${(value) => { setShown(value); setChosen(null); if (value === beside) setBeside(null); }}
        options=${all.map((value) => ({ value, words: nameOf(value) }))} />
      <button class="plain" aria-pressed=${beside !== null} onClick=${() => setBeside(beside === null ? all.find((one) => one !== shown) : null)}>${t(beside === null ? 'arrange.compare' : 'arrange.compare.end')}</button>
    </div>`}
    ${beside !== null && !running && found.length > 1 && html`<${Choice} name="beside" legend=${t('arrange.beside')} value=${beside} onChange=${setBeside}
      options=${all.filter((one) => one !== shown).map((value) => ({ value, words: nameOf(value) }))} />`}
    <div class=${beside !== null && !running ? 'walls two-walls' : 'walls'}>
      ${beside !== null && !running && html`<figure><figcaption>${nameOf(beside)}</figcaption>${one(nameOf(beside), placesOf(beside), {}, false)}
        ${found[beside] && html`<p class="quiet">${wordsOf(found[beside]).join(' ')}</p>`}</figure>`}
      <figure>${beside !== null && !running && html`<figcaption>${nameOf(shown)}</figcaption>`}
        ${one(t('arrange.wall', { quilt: name }), places, { chosen, cursor, rings, held }, true)}</figure>
    </div>
    <p class="unseen" role="status">${cursor ? words(cursor) : ''}</p>
    ${chosen && html`<div class="row chosen"><span class="grow">${words(chosen)}. ${t('arrange.hand')}</span>
      <button class="button" data-quick disabled=${wall.grid[chosen[0]][chosen[1]].step === 4} onClick=${turn}>${t('arrange.turn')}</button>
      ${block && !(proposal && block.pinned) && html`<button class="button" onClick=${pin}>${t(block.pinned || held.has(block.block) ? 'arrange.unpin' : 'arrange.pin')}</button>`}</div>`}
    ${running && html`<${Sewing} done=${part} label=${t('arrange.running')} quiet doing=${t('arrange.running')} />`}
    ${proposal && !running && html`<p role="status">${proposal.byHand ? t('arrange.by.hand') : wordsOf(proposal).join(' ')}
      ${proposal.stopped && ` ${t('arrange.stopped')}`}</p>`}
    <div class="thumb pair">
      ${running && html`<button class="button main" onClick=${stop}>${t('arrange.stop')}</button>`}
      ${!running && !proposal && html`<button class="button main" onClick=${() => search('now')} disabled=${wall.closed}>${t('arrange.find')}</button>`}
      ${!running && proposal && html`<button class="button" onClick=${() => search('now')}>${t('arrange.on')}</button>
        <button class="button main" onClick=${keep}>${t('arrange.keep')}</button>`}
    </div>
    ${!running && html`<div class="row">
      <button class="plain" onClick=${() => (proposal && !proposal.byHand ? setWhy(proposal) : judge())}>${t('arrange.why')}</button>
      <button class="plain" onClick=${() => search('afresh')}>${t('arrange.afresh')}</button>
      ${proposal && html`<button class="plain" onClick=${() => { set({ kept: [], shown: -1 }); setBeside(null); setChosen(null); }}>${t('arrange.drop')}</button>`}
      <a class="plain" target="_blank" rel="noopener" href=${`/api/print/map.pdf?${new URLSearchParams({ quilt: name })}`}>${t('arrange.map')}</a>
    </div>`}
    <${Wishes} wish=${wish} setWish=${(next) => set({ wish: next })} />
    ${why && html`<${Why} found=${why} onClose=${() => setWhy(null)} onWorst=${(pair) => { setWhy(null); setCursor(pair.places[0].map((n) => n - 1)); }} />`}
  </div>`;
}
