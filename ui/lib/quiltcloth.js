// The basket laid out as a cloth: one square of the picture for each unit square (or for
// every few, when there are very many), edge to edge with a hairline between.
import { html, useEffect, useRef } from './html.js';

import { swatchOf, useWidth } from './parts.js';
import { threads, undyed } from './weave.js';

const mostCells = 1200;
const leastSide = 12; // CSS pixels: in a smaller square no print can be told
const mostPictures = 200; // fetched for one cloth: those of which there is most
const pictures = new Map(); // url -> Image, while the page lives

function picture(url, ready) {
  let image = pictures.get(url);
  if (!image) {
    image = new Image();
    image.src = url;
    pictures.set(url, image);
  }
  if (!image.complete) image.addEventListener('load', ready, { once: true });
  return image.complete && image.naturalWidth > 0 ? image : null;
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
  const { cells } = layCells(fabrics);
  // Wider than high on a laptop, nearly square on a phone; whole rows where possible.
  const aspect = width > 700 ? 2.6 : 1.35;
  const across = Math.max(4, Math.min(cells.length, Math.ceil(Math.sqrt(cells.length * aspect))));
  const down = Math.ceil(cells.length / across);
  const side = Math.min(72, width / across);

  useEffect(() => {
    const it = canvas.current;
    if (!it || width === 0) return undefined;
    const dense = devicePixelRatio || 1;
    it.width = Math.round(side * across * dense);
    it.height = Math.round(side * down * dense);
    it.style.width = `${side * across}px`;
    it.style.height = `${side * down}px`;
    const pictured = new Set(side < leastSide ? [] : [...fabrics].sort((a, b) => b.squares - a.squares).slice(0, mostPictures));
    let alive = true;
    let asked = false;
    const draw = () => {
      asked = false;
      if (!alive) return;
      const pen = it.getContext('2d');
      const hair = 1;
      pen.clearRect(0, 0, it.width, it.height);
      const bars = side < leastSide ? null : picture(threads, later);
      const woven = bars && pen.createPattern(bars, 'repeat');
      cells.forEach((fabric, i) => {
        const x = Math.round((i % across) * side * dense);
        const y = Math.round(Math.floor(i / across) * side * dense);
        const w = Math.round(((i % across) + 1) * side * dense) - x - hair;
        const h = Math.round((Math.floor(i / across) + 1) * side * dense) - y - hair;
        const shown = fabric.swatch && pictured.has(fabric) ? picture(swatchOf(fabric.fabric), later) : null;
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
  }, [fabrics, width, side, across, down]);

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
