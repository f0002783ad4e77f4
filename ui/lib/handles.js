// Corners that are dragged, or tapped and then put, or walked by the arrow keys; and the
// loupe over the finger that hides what it points at.
import { html, useRef } from './html.js';
import { t } from '../text/text.js';

const arrows = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };
export const arrowStep = (e, far) => arrows[e.key] && arrows[e.key].map((x) => x * far * (e.shiftKey ? 4 : 1));

const reach = 22; // CSS pixels from a handle's middle to its edge: 44 across
const shaking = 5; // a finger that trembles drags nothing
const glass = 64; // half of the loupe

/** Puts the loupe above the finger, or below it where there is no room. */
function putLoupe(loupe, e, [x, y], half) {
  if (!loupe) return;
  loupe.setAttribute('viewBox', `${x - half} ${y - half} ${2 * half} ${2 * half}`);
  const top = e.clientY - 2 * glass - 40;
  loupe.style.left = `${Math.max(4, Math.min(innerWidth - 2 * glass - 4, e.clientX - glass))}px`;
  loupe.style.top = `${top > 4 ? top : e.clientY + 48}px`;
  loupe.classList.add('on');
}

/** The loupe: the picture around the point that is dragged, twice as large as it is shown. */
export const Loupe = ({ loupe, href, width, height, children }) => html`<svg class="loupe" ref=${loupe} aria-hidden="true">
  <image href=${href} width=${width} height=${height} />
  ${children}
</svg>`;

/**
 * The handles, inside an SVG of picture pixels. While one is dragged only it, its outline
 * and the loupe move, by hand; the rest hears of it when it is let go.
 *
 * points   in units of the caller; at(point) gives pixels, from(event) a point
 * k        pixels of the picture in one of the screen
 * step     what an arrow key moves by, in the caller's units; up: 1 where y goes up, else -1
 * onDrag   while it moves: (i, point); onMove when it is done
 */
export function Handles({ points, at, from, k, step, up = 1, chosen, choose, onDrag, onMove, onDelete, loupe, name }) {
  const held = useRef(null);
  const start = (i) => (e) => {
    if (e.button > 0) return;
    e.currentTarget.setPointerCapture?.(e.pointerId);
    held.current = { i, x: e.clientX, y: e.clientY, moved: false, was: chosen, to: null, pointer: e.pointerId };
  };
  const go = (i) => (e) => {
    const it = held.current;
    if (!it || it.i !== i || it.pointer !== e.pointerId) return;
    if (!it.moved && Math.hypot(e.clientX - it.x, e.clientY - it.y) < shaking) return;
    it.moved = true;
    it.to = from(e);
    const [x, y] = at(it.to);
    const [x0, y0] = at(points[i]);
    e.currentTarget.setAttribute('transform', `translate(${x - x0} ${y - y0})`);
    onDrag?.(i, it.to);
    putLoupe(loupe.current, e, [x, y], glass * k / 2);
  };
  const end = (i, keeps) => (e) => {
    const it = held.current;
    loupe.current?.classList.remove('on');
    if (!it || it.i !== i) return;
    e.currentTarget.removeAttribute('transform');
    if (it.moved && keeps) {
      choose(i);
      onMove(i, it.to);
    } else if (it.moved) onDrag?.(i, points[i]);
    if (!keeps) held.current = null;
  };
  const click = (i) => (e) => {
    e.stopPropagation();
    const it = held.current;
    held.current = null;
    if (it?.moved) return;
    choose(it?.was === i ? null : i);
  };
  const press = (i) => (e) => {
    const by = arrowStep(e, step);
    if (by) {
      choose(i);
      onMove(i, [points[i][0] + by[0], points[i][1] + up * by[1]]);
    } else if (e.key === 'Enter' || e.key === ' ') choose(chosen === i ? null : i);
    else if ((e.key === 'Delete' || e.key === 'Backspace') && onDelete) onDelete(i);
    else return;
    e.preventDefault();
    e.stopPropagation();
  };
  return points.map((point, i) => {
    const [x, y] = at(point);
    return html`<g key=${i} class="handle" role="button" tabindex="0" aria-pressed=${chosen === i ? 'true' : 'false'}
      aria-label=${t(name ?? 'mend.corner', { n: i + 1, of: points.length })} onKeyDown=${press(i)} onClick=${click(i)}
      onPointerDown=${start(i)} onPointerMove=${go(i)} onPointerUp=${end(i, true)} onPointerCancel=${end(i, false)}>
      <circle class="reach" cx=${x} cy=${y} r=${reach * k} />
      <rect x=${x - 7 * k} y=${y - 7 * k} width=${14 * k} height=${14 * k} />
    </g>`;
  });
}

/** The place of a pointer in the pixels of an SVG. */
export const pixelOf = (svg, e) => {
  const { x, y } = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [x, y];
};
