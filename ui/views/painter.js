// Her own designs: roles and half-square triangles painted on a grid, blocks set in a
// repeat with turns, and how it looks beside it. The text of the design is the one thing
// kept; the painter reads it and writes it.
import { html, useEffect, useRef, useState } from '../lib/html.js';
import { Choice, Stepper, Trouble, Waiting, useSettled, useWide } from '../lib/parts.js';
import { Fault, ask, change, get, useDocument } from '../lib/book.js';
import { useDraft } from '../lib/draft.js';
import { go, to } from '../lib/route.js';
import { t } from '../text/text.js';
import { brought } from './designs.js';

const letters = ['S', 'B', 'L', 'D', 'A'];
const names = { S: 'scrap', B: 'background', L: 'light', D: 'dark', A: 'accent' };
/** What a tap paints: the whole patch, or the half in one corner. */
const halves = ['whole', 'upper-left', 'lower-right', 'upper-right', 'lower-left'];
const split = { 'upper-left': ['/', 0], 'lower-right': ['/', 1], 'upper-right': ['\\', 0], 'lower-left': ['\\', 1] };

const blockNames = () => t('draw.names').split(' ');
const blank = () => `name ${t('draw.blank')}\nblock ${blockNames()[0]} S B S / B S B / S B S\nrepeat ${blockNames()[0]}\n`;

/** The text as blocks and a repeat; other lines are kept as they are. Null: not readable. */
export function readDesign(text) {
  const lines = text.replace(/\r/g, '').replace(/\n[ \t]+(?=\S)/g, ' ').split('\n');
  const design = { name: '', about: '', blocks: [], repeat: [], rest: [] };
  for (const line of lines) {
    const [word, ...more] = line.trim().split(/\s+/);
    if (word === 'name' || word === 'about') design[word] = more.join(' ');
    else if (word === 'block') {
      const rows = more.slice(1).join(' ').split(/ \/ /).map((row) => row.trim().split(/\s+/));
      if (!rows.every((row) => row.length === rows.length && row.every((it) => /^[SBLDA](?:[/\\][SBLDA])?$/.test(it)))) return null;
      design.blocks.push({ name: more[0], rows });
    } else if (word === 'repeat') design.repeat.push(more);
    else if (word) design.rest.push(line);
  }
  const side = design.blocks[0]?.rows.length;
  if (!side || design.blocks.some((one) => one.rows.length !== side)) return null;
  if (design.repeat.length === 0) design.repeat = [[design.blocks[0].name]];
  if (design.repeat.some((row) => row.length !== design.repeat[0].length)) return null;
  if (design.repeat.flat().some((it) => !design.blocks.some((one) => one.name === it.split('+')[0]))) return null;
  return design;
}

export const writeDesign = (design) => [
  `name ${design.name}`, ...(design.about ? [`about ${design.about}`] : []),
  ...design.blocks.map((one) => `block ${one.name} ${one.rows.map((row) => row.join(' ')).join(' / ')}`),
  ...design.repeat.map((row) => `repeat ${row.join(' ')}`), ...design.rest, '',
].join('\n');

/** A patch with one half, or all of it, painted. */
export function paint(patch, half, role) {
  if (half === 'whole') return role;
  const [stroke, at] = split[half];
  const pair = patch[1] === stroke ? [patch[0], patch[2]] : patch.length === 1 ? [patch, patch] : [patch[0], patch[2]];
  pair[at] = role;
  return pair[0] === pair[1] ? role : pair.join(stroke);
}

/** The patches of a block as it lies after quarter turns clockwise. */
export function turned(rows, turns) {
  let now = rows;
  for (let i = 0; i < turns; i++) {
    now = now.map((_, r) => now.map((__, c) => {
      const patch = now[now.length - 1 - c][r];
      if (patch.length === 1) return patch;
      // "/": the upper left half comes to the upper right; "\": the upper right to the lower right.
      return patch[1] === '/' ? `${patch[0]}\\${patch[2]}` : `${patch[2]}/${patch[0]}`;
    }));
  }
  return now;
}

const corners = { '/': [[[0, 0], [1, 0], [0, 1]], [[1, 0], [1, 1], [0, 1]]], '\\': [[[0, 0], [1, 0], [1, 1]], [[0, 0], [1, 1], [0, 1]]] };
const shade = { S: '#8d8579', B: '#fbf8f3', L: '#d9d2c6', D: '#4a443c', A: '#2c4a80' };

/** What the roles are shown in: her own fabrics for scraps, lights and darks. */
function useColours() {
  const { data } = useDocument('/api/fabrics?basket=true&limit=60');
  const known = (data?.fabrics ?? []).filter((one) => one.srgb);
  const rgb = (one) => `rgb(${one.srgb.join(' ')})`;
  const of = (value) => known.filter((one) => one.value === value).map(rgb);
  const or = (list, role) => (list.length > 0 ? list : [shade[role]]);
  return { S: or(known.map(rgb), 'S'), B: [shade.B], L: or(of('light'), 'L'), D: or(of('dark'), 'D'), A: [shade.A] };
}

function Preview({ design, colours }) {
  const canvas = useRef();
  const side = design.blocks[0].rows.length;
  const across = design.repeat[0].length * (design.repeat[0].length < 4 ? 2 : 1);
  const down = design.repeat.length * (design.repeat.length < 4 ? 2 : 1);
  useEffect(() => {
    const cell = Math.max(4, Math.floor(640 / (Math.max(across, down) * side)));
    const it = canvas.current;
    it.width = across * side * cell;
    it.height = down * side * cell;
    const pen = it.getContext('2d');
    pen.lineWidth = 1;
    pen.strokeStyle = 'rgb(36 33 29 / 0.25)';
    const fill = (role, at, x, y, points) => {
      pen.fillStyle = colours[role][at % colours[role].length];
      pen.beginPath();
      for (const [px, py] of points) pen.lineTo((x + px) * cell, (y + py) * cell);
      pen.closePath();
      pen.fill();
      pen.stroke();
    };
    for (let r = 0; r < down; r++) {
      for (let c = 0; c < across; c++) {
        const [name, turns = '0'] = design.repeat[r % design.repeat.length][c % design.repeat[0].length].split('+');
        turned(design.blocks.find((one) => one.name === name).rows, Number(turns) % 4).forEach((row, y) => row.forEach((patch, x) => {
          const [left, top] = [c * side + x, r * side + y];
          const at = left * 7 + top * 13 + left * top * 3;
          if (patch.length === 1) fill(patch, at, left, top, [[0, 0], [1, 0], [1, 1], [0, 1]]);
          else if (patch[1] === '/') corners['/'].forEach((points, i) => fill(patch[2 * i], at + i, left, top, points));
          else corners['\\'].forEach((points, i) => fill(patch[2 * i], at + i, left, top, points));
        }));
      }
    }
  });
  return html`<canvas ref=${canvas} class="paint-preview" role="img" aria-label=${t('draw.preview')}></canvas>`;
}

/** Arrow keys walk a grid of buttons. */
function walk(event, columns) {
  const step = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -columns, ArrowDown: columns }[event.key];
  const all = [...event.currentTarget.querySelectorAll('button')];
  const next = step && all[all.indexOf(document.activeElement) + step];
  if (!next) return;
  event.preventDefault();
  next.focus();
}

const Patch = ({ patch }) => html`<svg viewBox="0 0 1 1" aria-hidden="true">${patch.length === 1
  ? html`<rect width="1" height="1" class=${`role-${patch}`} />`
  : corners[patch[1]].map((points, i) => html`<polygon key=${i} points=${points.join(' ')} class=${`role-${patch[2 * i]}`} />`)}</svg>`;

const patchWords = (patch) => (patch.length === 1 ? t(`role.${names[patch]}`)
  : t(patch[1] === '/' ? 'draw.rising' : 'draw.falling', { a: t(`role.${names[patch[0]]}`), b: t(`role.${names[patch[2]]}`) }));

function Grid({ rows, onPaint }) {
  return html`<div class="paint-grid" data-quick role="group" aria-label=${t('draw.grid')} onKeyDown=${(e) => walk(e, rows.length)}
    ref=${(it) => { if (it) it.style.setProperty('--side', rows.length); }}>
    ${rows.flatMap((row, r) => row.map((patch, c) => html`<button type="button" key=${`${r}-${c}`} onClick=${() => onPaint(r, c)}
      aria-label=${t('draw.patch', { row: r + 1, column: c + 1, patch: patchWords(patch) })}><${Patch} patch=${patch} /></button>`))}
  </div>`;
}

function Repeat({ design, block, onChange }) {
  const { repeat } = design;
  const put = (rows) => onChange({ ...design, repeat: rows });
  const grow = (rows, cols) => put(Array.from({ length: rows }, (_, r) => Array.from({ length: cols }, (__, c) => repeat[r % repeat.length][c % repeat[0].length])));
  // A tap sets the block in hand; a tap on that block turns it by a quarter.
  const tap = (r, c) => {
    const [name, turns = '0'] = repeat[r][c].split('+');
    const turn = name === block ? (Number(turns) + 1) % 4 : 0;
    put(repeat.map((row, y) => row.map((it, x) => (y === r && x === c ? block + (turn ? `+${turn}` : '') : it))));
  };
  return html`<div class="row"><div class="field"><span aria-hidden="true">${t('draw.repeat.across')}</span>
      <${Stepper} label=${t('draw.repeat.across')} value=${repeat[0].length} min=${1} max=${12} onChange=${(n) => grow(repeat.length, n)} /></div>
    <div class="field"><span aria-hidden="true">${t('draw.repeat.down')}</span>
      <${Stepper} label=${t('draw.repeat.down')} value=${repeat.length} min=${1} max=${12} onChange=${(n) => grow(n, repeat[0].length)} /></div></div>
  <div class="repeat-grid scroll" data-quick role="group" aria-label=${t('draw.repeat')} onKeyDown=${(e) => walk(e, repeat[0].length)}
    ref=${(it) => { if (it) it.style.setProperty('--side', repeat[0].length); }}>
    ${repeat.flatMap((row, r) => row.map((it, c) => {
      const [name, turns = '0'] = it.split('+');
      const rows = turned(design.blocks.find((one) => one.name === name).rows, Number(turns) % 4);
      return html`<button type="button" key=${`${r}-${c}`} onClick=${() => tap(r, c)} aria-label=${t('draw.cell', { row: r + 1, column: c + 1, block: name, turn: Number(turns) })}>
        <svg viewBox=${`0 0 ${rows.length} ${rows.length}`} aria-hidden="true">${rows.flatMap((line, y) => line.map((patch, x) => html`<svg key=${`${x}-${y}`} x=${x} y=${y} width="1" height="1" viewBox="0 0 1 1"><${Patch} patch=${patch} /></svg>`))}</svg>
      </button>`;
    }))}
  </div>`;
}

/** The text with what is wrong in it beside it; "show me" puts the caret there. */
function Text({ text, fault, onText }) {
  const area = useRef();
  const at = /line (\d+), column (\d+)/i.exec(fault?.message ?? '');
  const show = () => {
    const before = text.split('\n').slice(0, at[1] - 1).join('\n').length + (at[1] > 1 ? 1 : 0);
    const place = before + Number(at[2]) - 1;
    area.current.focus();
    area.current.setSelectionRange(place, place + 1);
  };
  return html`<details class="as-text" open=${Boolean(fault)}><summary>${t('draw.text')}</summary>
    <label class="field">${t('draw.text.says')}
      <textarea ref=${area} rows="9" spellcheck="false" value=${text} aria-invalid=${fault ? 'true' : undefined} onInput=${(e) => onText(e.currentTarget.value)}></textarea></label>
    ${fault && html`<${Trouble} fault=${fault} />`}
    ${at && html`<button type="button" class="plain" onClick=${show}>${t('draw.show')}</button>`}
  </details>`;
}

function Painting({ first, own }) {
  const [drawn, setHistory] = useDraft(`painter ${own ?? ''}`, undefined);
  // What was drawn on another ground than this one is no draft of it.
  const history = drawn?.[0] === first ? drawn : [first];
  const [role, setRole] = useState('S');
  const [half, setHalf] = useState('whole');
  const [which, setWhich] = useState(0);
  const [fault, setFault] = useState(null);
  const [refused, setRefused] = useState(null); // { trouble, text }: why this text was not kept
  const colours = useColours();
  const wide = useWide();
  const text = history[history.length - 1];
  const setText = (next) => setHistory([first, ...history.slice(1).slice(-60), next]);
  const design = readDesign(text);
  const settled = useSettled(text, 350);
  useEffect(() => {
    let off = false;
    ask('/api/designs/check', { text: settled, design: 'own' }).then(() => !off && setFault(null), (it) => !off && it instanceof Fault && setFault(it));
    return () => { off = true; };
  }, [settled]);
  const put = (next) => setText(writeDesign(next));
  const block = design?.blocks[Math.min(which, design.blocks.length - 1)];
  const setRows = (rows) => put({ ...design, blocks: design.blocks.map((one) => (one === block ? { ...one, rows } : one)) });
  const resize = (side) => put({ ...design, blocks: design.blocks.map((one) => ({
    ...one, rows: Array.from({ length: side }, (_, r) => Array.from({ length: side }, (__, c) => one.rows[r]?.[c] ?? 'B')),
  })) });
  const more = () => {
    const taken = new Set(design.blocks.map((one) => one.name));
    const name = blockNames().find((one) => !taken.has(one));
    put({ ...design, blocks: [...design.blocks, { name, rows: block.rows }] });
    setWhich(design.blocks.length);
  };
  const keep = async (event) => {
    event.preventDefault();
    setRefused(null);
    try {
      const made = await change('POST', '/api/designs', { text, ...(own ? { design: own, replace: true } : {}) }, {
        done: (it) => t('draw.kept', { name: it.name }), quiet: true,
      });
      setHistory(undefined);
      go('quilts', 'start', made.design);
    } catch (trouble) {
      setRefused({ trouble, text });
    }
  };
  return html`<form class="two painting" onSubmit=${keep}>
    ${wide && html`<div>${design && html`<${Preview} design=${design} colours=${colours} />`}</div>`}
    <div>
      ${design && html`<label class="field">${t('draw.name')}<input type="text" maxlength="60" value=${design.name} autocomplete="off" onInput=${(e) => put({ ...design, name: e.currentTarget.value })} /></label>
      <div class="row"><div class="field"><span aria-hidden="true">${t('draw.side')}</span><${Stepper} label=${t('draw.side')} value=${block.rows.length} min=${1} max=${12} onChange=${resize} /></div>
        <button type="button" class="plain" data-quick disabled=${history.length < 2} onClick=${() => setHistory(history.slice(0, -1))}>${t('draw.back')}</button></div>
      <${Choice} name="role" legend=${t('draw.role')} value=${role} onChange=${setRole} options=${letters.map((value) => ({ value, words: html`<i class=${`dot role-${value}`}></i> ${t(`role.${names[value]}`)}` }))} />
      <${Choice} name="half" legend=${t('draw.half')} value=${half} onChange=${setHalf} options=${halves.map((value) => ({ value, words: t(`draw.half.${value}`) }))} />
      <${Choice} name="of" legend=${t('draw.block')} value=${String(design.blocks.indexOf(block))} onChange=${(it) => setWhich(Number(it))} options=${design.blocks.map((one, i) => ({ value: String(i), words: one.name }))} />
      <div class="painted"><${Grid} rows=${block.rows} onPaint=${(r, c) => setRows(block.rows.map((row, y) => row.map((patch, x) => (y === r && x === c ? paint(patch, half, role) : patch))))} />
        ${!wide && html`<${Preview} design=${design} colours=${colours} />`}</div>
      ${design.blocks.length < 16 && html`<button type="button" class="button" onClick=${more}>${t('draw.more')}</button>`}
      <h2>${t('draw.repeat')}</h2><p class="quiet">${t('draw.repeat.says')}</p>
      <${Repeat} design=${design} block=${block.name} onChange=${put} />`}
      <${Text} text=${text} fault=${fault} onText=${setText} />
      ${refused?.text === text && refused.trouble.message !== fault?.message && html`<${Trouble} fault=${refused.trouble} />`}
      <div class="thumb"><button class="button main" disabled=${Boolean(fault)}>${t('draw.keep')}</button></div>
      ${own && html`<div class="row"><a class="button" href=${`/api/designs/${encodeURIComponent(own)}/text`} download=${`${own}.design`}>${t('draw.save')}</a>
        <button type="button" class="plain stop" onClick=${() => change('DELETE', `/api/designs/${encodeURIComponent(own)}`, undefined, { done: t('draw.dropped') }).then(() => go('quilts', 'start'), () => {})}>${t('draw.drop')}</button></div>`}
    </div>
  </form>`;
}

/** The painter: empty, with a design of hers, with one like another, or one brought in. */
export function Painter({ design }) {
  const [first, setFirst] = useState(null);
  const [fault, setFault] = useState(null);
  useEffect(() => {
    setFirst(null);
    if (!design) {
      const text = brought.value?.text;
      setFirst({ text: text === undefined ? blank() : /^name\s/m.test(text) ? text : `name ${brought.value.design}\n${text}` });
      return;
    }
    get(`/api/designs/${encodeURIComponent(design)}`).then((it) => setFirst(it.own ? { text: it.text, own: it.design }
      : { text: it.text.replace(/^name\s+.*$/m, `name ${t('draw.changed', { name: it.name })}`) }), setFault);
  }, [design]);
  return html`<a class="back" href=${design ? to('quilts', 'start', design) : to('quilts', 'start')}>${t('start.back')}</a>
    <h1 tabindex="-1">${t(first?.own ? 'draw.change' : 'draw.title')}</h1>
    ${fault ? html`<${Trouble} fault=${fault} />` : first ? html`<${Painting} first=${first.text} own=${first.own} key=${first.text} />` : html`<${Waiting} />`}`;
}
