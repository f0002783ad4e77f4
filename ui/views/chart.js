// The chart: every place of the quilt, crossed off as its block is made. A tap crosses, a
// second tap takes the cross away. Where the places are too small for a finger, the first
// tap comes closer; with the keyboard the arrows walk and Enter crosses.
import { html, useEffect, useLayoutEffect, useMemo, useRef, useState } from '../lib/html.js';
import { ZoomButtons, useZoom } from '../lib/zoom.js';
import { useWidth } from '../lib/parts.js';
import { stencil } from '../lib/weave.js';
import { count } from '../lib/amount.js';
import { kindWords, t } from '../text/text.js';
import { cross, useKeptCrosses } from './planfacts.js';

const smallest = 24; // a place that a finger can still hit, in CSS pixels
const comfortable = 28; // from here on the whole chart may be fitted to the height too
const numbers = 26; // room for the row and column numbers

const key = (row, column) => `${row},${column}`;

/** One row, drawn again only when one of its places has changed. */
function Row({ row, named, places, made, at, onPress, kinds }) {
  const drawn = useMemo(() => places.map((place, c) => {
    const is = made[c];
    const here = at === c;
    const style = kinds(place.kind, place.turn, is);
    return html`<div key=${c} role="gridcell" class=${`place ${is ? 'made' : ''} ${(c + 1) % 10 === 0 ? 'tenth' : ''}`}
      tabindex=${here ? 0 : -1} data-at=${key(row, c)} aria-selected=${is ? 'true' : 'false'}
      aria-label=${t('chart.place', { row: row + 1, column: c + 1, kind: kindWords(place.kind), made: is })}>
      <span class="kind" ref=${(it) => {
        if (it) it.style.backgroundImage = style;
      }}></span>
    </div>`;
  }), [places, made.join(), at, kinds]);
  return html`<div role="row" class=${`chart-row ${(row + 1) % 10 === 0 ? 'tenth' : ''} ${row % 2 ? 'odd' : ''}`}>
    <span role="rowheader" class="number">${named ? row + 1 : html`<span class="unseen">${row + 1}</span>`}</span>${drawn}
  </div>`;
}

export function Chart({ name, quilt }) {
  const rows = quilt.places.length;
  const columns = quilt.places[0]?.length ?? 0;
  const view = useZoom(Math.max(3, Math.ceil(columns / 6)));
  const outer = useRef();
  const width = useWidth(outer);
  const [at, setAt] = useState([0, 0]);
  const [pending, setPending] = useState({}); // places on their way to the book
  const walk = useRef(false);

  // On point, blocks stand on a corner: rows lie half into each other, every second one
  // shorter by one and set in by half.
  const onPoint = quilt.set === 'on-point';
  const gaps = onPoint ? 0 : Math.floor((columns - 1) / 10) * 4;
  const byWidth = (width - numbers - gaps - 2) / Math.max(1, columns);
  const byHeight = (innerHeight * 0.72 - 24 - (onPoint ? 0 : Math.floor((rows - 1) / 10) * 4)) / (onPoint ? (rows + 1) / 2 : rows);
  const fit = Math.max(6, Math.min(88, byWidth, Math.max(comfortable, byHeight)));
  const side = Math.floor(fit * view.zoom * 10) / 10;

  const kinds = useMemo(() => { // each way that a kind lies is drawn once
    const patches = new Map(quilt.kinds.map((kind) => [kind.kind, kind.patches]));
    const drawn = new Map();
    return (kind, turn = 0, made = false) => {
      const way = `${kind} ${turn} ${made}`;
      if (!drawn.has(way)) drawn.set(way, stencil(patches.get(kind), turn, made ? 0.35 : 0.75));
      return drawn.get(way);
    };
  }, [JSON.stringify(quilt.kinds.map((kind) => kind.patches))]);
  const kept = useKeptCrosses(name);
  const isMade = (r, c) => pending[key(r, c)] ?? kept.get(key(r + 1, c + 1)) ?? Boolean(quilt.places[r][c].block);

  // What the book now says wins, once it says so.
  useEffect(() => setPending({}), [quilt]);

  useLayoutEffect(() => {
    if (!walk.current) return;
    walk.current = false;
    view.box.current?.querySelector(`[data-at="${key(...at)}"]`)?.focus();
  }, [at]);

  /** Where places are narrow, every fifth number has room. */
  const isNamed = (i) => side >= 18 || i === 0 || (i + 1) % 5 === 0;

  const press = async (r, c) => {
    const next = !isMade(r, c);
    setAt([r, c]);
    setPending((all) => ({ ...all, [key(r, c)]: next }));
    try {
      await cross(name, [r + 1, c + 1], next);
    } catch {
      setPending(({ [key(r, c)]: dropped, ...others }) => others);
    }
  };

  const onClick = (e) => {
    const place = e.target.closest('[data-at]');
    if (!place) return;
    const [r, c] = place.dataset.at.split(',').map(Number);
    if (side < smallest && e.pointerType !== 'mouse' && e.detail > 0) {
      const frame = view.box.current.getBoundingClientRect();
      setAt([r, c]);
      view.zoomTo(44 / fit, { x: e.clientX - frame.left, y: e.clientY - frame.top });
      return;
    }
    press(r, c);
  };

  const onKeyDown = (e) => {
    const [r, c] = at;
    const steps = {
      ArrowUp: [r - 1, c], ArrowDown: [r + 1, c], ArrowLeft: [r, c - 1], ArrowRight: [r, c + 1],
      Home: e.ctrlKey ? [0, 0] : [r, 0], End: e.ctrlKey ? [rows - 1, columns - 1] : [r, columns - 1],
      PageUp: [r - 10, c], PageDown: [r + 10, c],
    };
    const widest = (row) => quilt.places[row].length - 1;
    if (e.key === 'Enter' || e.key === ' ') {
      e.preventDefault();
      press(r, c);
    } else if (steps[e.key]) {
      e.preventDefault();
      walk.current = true;
      const [nr, nc] = steps[e.key];
      const row = Math.max(0, Math.min(rows - 1, nr));
      setAt([row, Math.max(0, Math.min(widest(row), nc))]);
    } else if (e.key === '+' || e.key === '=') view.zoomTo((z) => z * 1.6);
    else if (e.key === '-') view.zoomTo((z) => z / 1.6);
  };

  return html`<div class="chart-view" ref=${outer}>
    <div class="zoom chart" ref=${view.box}>
      <div role="grid" class=${onPoint ? 'grid on-point' : 'grid'} aria-label=${t('chart.label', { quilt: name })} aria-rowcount=${rows + 1} aria-colcount=${columns + 1}
        onClick=${onClick} onKeyDown=${onKeyDown}
        ref=${(it) => { if (it) it.style.setProperty('--place', `${side}px`); }}>
        <div role="row" class="chart-row heads"><span role="columnheader" class="number corner"><span class="unseen">${t('chart.rows')}</span></span>
          ${quilt.places[0]?.map((_, c) => html`<span key=${c} role="columnheader" class=${`number head ${(c + 1) % 10 === 0 ? 'tenth' : ''}`}>${
            isNamed(c) ? c + 1 : html`<span class="unseen">${c + 1}</span>`}</span>`)}</div>
        ${quilt.places.map((places, r) => html`<${Row} key=${r} row=${r} named=${isNamed(r)} places=${places} kinds=${kinds}
          at=${at[0] === r ? at[1] : -1} made=${places.map((_, c) => isMade(r, c))} />`)}
      </div>
    </div>
    <div class="row spread">
      <${ZoomButtons} view=${view} />
      <ul class="legend plain-list">${quilt.kinds.map((kind) => html`<li key=${kind.kind}>
        <span class="kind" ref=${(it) => {
          if (it) it.style.backgroundImage = kinds(kind.kind);
        }} aria-hidden="true"></span>
        ${t('chart.kind', { kind: kindWords(kind.kind), made: count(kind.made ?? 0), of: count(kind.blocks ?? 0) })}
      </li>`)}</ul>
    </div>
  </div>`;
}
