// The basket laid out as a cloth: one square of the picture for each unit square (or for
// every few, when there are very many), edge to edge with a hairline between.
import { html, useLayoutEffect, useRef } from './html.js';
import { painted, swatchOf, useNear, useWidth } from './parts.js';
import { threads, undyed } from './weave.js';

const mostCells = 1200;
const leastSide = 12; // CSS pixels: in a smaller square no print can be told
const leastShown = 24 * 24; // CSS pixels of the cloth that a picture is worth asking for
const mostPictures = 200; // fetched for one cloth: those of which there is most

/** Those fabrics whose prints can be told in cells of this side. */
function tellable(cells, side) {
  const shown = new Map(); // fabric -> CSS pixels
  for (const fabric of side < leastSide ? [] : cells) if (fabric.swatch) shown.set(fabric, (shown.get(fabric) ?? 0) + side * side);
  const most = [...shown].filter(([, pixels]) => pixels >= leastShown).sort(([, a], [, b]) => b - a);
  return new Set(most.slice(0, mostPictures).map(([fabric]) => fabric));
}

/** How many squares a cell stands for, and the fabric of each cell in reading order. */
export function layCells(fabrics) {
  const total = fabrics.reduce((sum, fabric) => sum + fabric.squares, 0);
  const each = Math.max(1, Math.ceil(total / mostCells));
  const cells = [];
  for (const fabric of fabrics) {
    const n = fabric.squares > 0 ? Math.max(1, Math.round(fabric.squares / each)) : 0;
    for (let i = 0; i < n; i++) cells.push(fabric);
  }
  return { each, cells };
}

export function QuiltCloth({ fabrics, label, onFabric }) {
  const box = useRef();
  const canvas = useRef();
  const width = useWidth(box);
  const near = useNear(box);
  const { cells } = layCells(fabrics);
  // Wider than high on a laptop, nearly square on a phone; whole rows where possible.
  const aspect = width > 700 ? 2.6 : 1.35;
  const across = Math.max(4, Math.min(cells.length, Math.ceil(Math.sqrt(cells.length * aspect))));
  const down = Math.ceil(cells.length / across);
  const side = Math.min(72, width / across);

  useLayoutEffect(() => { // with its own height, or what lies below it would jump
    const it = canvas.current;
    if (!it || width === 0) return undefined;
    const dense = devicePixelRatio || 1;
    it.width = Math.round(side * across * dense);
    it.height = Math.round(side * down * dense);
    it.style.width = `${side * across}px`;
    it.style.height = `${side * down}px`;
    const pictured = near ? tellable(cells, side) : new Set();
    let alive = true;
    let asked = false;
    const draw = () => {
      asked = false;
      if (!alive) return;
      const pen = it.getContext('2d');
      const hair = 1;
      pen.clearRect(0, 0, it.width, it.height);
      const bars = side < leastSide ? null : painted(threads, later);
      const woven = bars && pen.createPattern(bars, 'repeat');
      cells.forEach((fabric, i) => {
        const x = Math.round((i % across) * side * dense);
        const y = Math.round(Math.floor(i / across) * side * dense);
        const w = Math.round(((i % across) + 1) * side * dense) - x - hair;
        const h = Math.round((Math.floor(i / across) + 1) * side * dense) - y - hair;
        const shown = pictured.has(fabric) ? painted(swatchOf(fabric.fabric), later) : null;
        if (shown) {
          // Another bit of the print in each square, as when a strip is cut up.
          const cut = Math.min(shown.naturalWidth, shown.naturalHeight) * 0.5;
          const sx = (shown.naturalWidth - cut) * ((i * 0.37) % 1);
          const sy = (shown.naturalHeight - cut) * ((i * 0.61) % 1);
          pen.drawImage(shown, sx, sy, cut, cut, x, y, w, h);
        } else {
          pen.fillStyle = `rgb(${(fabric.srgb ?? undyed).join()})`;
          pen.fillRect(x, y, w, h);
          if (woven) {
            pen.fillStyle = woven;
            pen.fillRect(x, y, w, h);
          }
        }
      });
    };
    const later = () => {
      if (!asked) requestAnimationFrame(draw);
      asked = true;
    };
    draw();
    return () => { alive = false; };
  }, [fabrics, width, side, across, down, near]);

  return html`<div class="quilt-cloth" ref=${box}>
    <canvas ref=${canvas} role="img" aria-label=${label} onClick=${(e) => {
      const frame = e.currentTarget.getBoundingClientRect();
      const c = Math.floor((e.clientX - frame.left) / side);
      const r = Math.floor((e.clientY - frame.top) / side);
      const fabric = cells[r * across + c];
      if (fabric) onFabric(fabric);
    }}></canvas>
  </div>`;
}
