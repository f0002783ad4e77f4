// An outline mended by hand: drag a corner, or tap it and then the place where it belongs;
// with the keyboard the arrows move it. Nothing is kept before "Keep this outline".
import { html, useMemo, useRef, useState } from '../lib/html.js';
import { Trouble, Waiting, useWidth } from '../lib/parts.js';
import { bounds, path, toPlan } from '../lib/plan.js';
import { change, useDocument } from '../lib/book.js';
import { go, to } from '../lib/route.js';
import { t } from '../text/text.js';

const tolerance = 1 / 16; // in: a found edge has hundreds of points, a hand wants its corners
const nudge = 1 / 16;

const apart = ([ax, ay], [bx, by]) => Math.hypot(ax - bx, ay - by);

/** How far a point lies from the line through two others. */
const offLine = (p, a, b) => {
  const length = apart(a, b);
  return length === 0 ? apart(p, a) : Math.abs((b[0] - a[0]) * (a[1] - p[1]) - (a[0] - p[0]) * (b[1] - a[1])) / length;
};

/** The corners of a line: Douglas and Peucker, The Canadian Cartographer 10 (1973) 112-122. */
function simpler(line) {
  let far = 0;
  let at = 0;
  for (let i = 1; i < line.length - 1; i++) {
    const off = offLine(line[i], line[0], line.at(-1));
    if (off > far) [far, at] = [off, i];
  }
  if (far <= tolerance) return [line[0], line.at(-1)];
  return [...simpler(line.slice(0, at + 1)).slice(0, -1), ...simpler(line.slice(at))];
}

/** The corners of a ring, split where it is widest so that both ends are real corners. */
export function corners(ring) {
  if (ring.length < 5) return ring;
  const far = ring.reduce((best, p, i) => (apart(p, ring[0]) > apart(ring[best], ring[0]) ? i : best), 0);
  return [...simpler(ring.slice(0, far + 1)).slice(0, -1), ...simpler([...ring.slice(far), ring[0]]).slice(0, -1)];
}

function Editor({ photo, scrap }) {
  const { plan } = photo;
  const [points, setPoints] = useState(() => corners(scrap.outline_in));
  const [chosen, choose] = useState(null);
  const [dragging, setDragging] = useState(false);
  const [fault, setFault] = useState(null);
  const svg = useRef();
  const width = useWidth(svg);
  const at = toPlan(plan);
  // The frame stays while corners move, so that nothing jumps under the finger.
  const frame = useMemo(() => {
    const box = bounds(scrap.outline_in);
    const pad = Math.max(0.6, 0.15 * Math.max(box.right - box.left, box.top - box.bottom));
    const [left, top] = at([box.left - pad, box.top + pad]);
    const [right, bottom] = at([box.right + pad, box.bottom - pad]);
    return { left, top, wide: right - left, high: bottom - top };
  }, [scrap.id]);
  const onScreen = width > 0 ? svg.current?.getScreenCTM() : null;
  const k = onScreen ? 1 / onScreen.a : frame.wide / 390; // pixels of the plan in one of the screen
  const inches = (e) => {
    const { x, y } = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.current.getScreenCTM().inverse());
    return [x / plan.pixels_per_in + plan.left_in, plan.top_in - y / plan.pixels_per_in];
  };
  const move = (i, point) => setPoints((all) => all.map((p, j) => (j === i ? point : p)));
  const takeOut = () => {
    setPoints((all) => all.filter((_, j) => j !== chosen));
    choose(null);
  };
  const addAfter = () => {
    const [a, b] = [points[chosen], points[(chosen + 1) % points.length]];
    setPoints((all) => all.toSpliced(chosen + 1, 0, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]));
    choose(chosen + 1);
  };
  const keep = async () => {
    setFault(null);
    try {
      await change('PUT', `/api/scraps/${encodeURIComponent(scrap.id)}/outline`, { outline_in: points, holes_in: scrap.holes_in ?? [] }, {
        done: t('mend.done', { n: scrap.number }), quiet: true,
      });
      go('scraps', String(photo.photo.id));
    } catch (trouble) {
      setFault(trouble);
    }
  };
  const onKeyDown = (i) => (e) => {
    const steps = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };
    if (steps[e.key]) {
      const far = nudge * (e.shiftKey ? 4 : 1);
      move(i, [points[i][0] + steps[e.key][0] * far, points[i][1] + steps[e.key][1] * far]);
    } else if (e.key === 'Enter' || e.key === ' ') choose(chosen === i ? null : i);
    else return;
    e.preventDefault();
  };
  const held = useRef(null); // the corner under the finger, and whether it has moved
  const [lx, ly] = chosen === null ? [0, 0] : at(points[chosen] ?? [0, 0]);
  const loupe = 0.45 * plan.pixels_per_in;
  return html`<div class="mend">
    <p class="quiet">${t('mend.how')}</p>
    <div class="mend-frame">
      <svg ref=${svg} class="mend-picture" viewBox=${`${frame.left} ${frame.top} ${frame.wide} ${frame.high}`} role="group"
        aria-label=${t('mend.picture', { n: scrap.number })}
        onPointerDown=${(e) => {
          if (!e.target.closest('.handle')) held.current = null;
        }}
        onPointerMove=${(e) => {
          if (!held.current || held.current.over) return;
          // A shaking finger is no drag.
          if (!held.current.moved && Math.hypot(e.clientX - held.current.x, e.clientY - held.current.y) < 5) return;
          held.current.moved = true;
          setDragging(true);
          move(held.current.i, inches(e));
        }}
        onPointerUp=${() => {
          if (held.current) held.current.over = true; // the click that follows still asks
          setDragging(false);
        }}
        onPointerCancel=${() => {
          held.current = null;
          setDragging(false);
        }}
        onClick=${(e) => {
          if (held.current || chosen === null) return;
          move(chosen, inches(e));
          choose(null);
        }}>
        <image href=${plan.url} />
        <g class="outline"><path class="under" d=${path(points, at)} /><path class="over" d=${path(points, at)} /></g>
        ${points.map((point, i) => {
          const [x, y] = at(point);
          return html`<g key=${i} class="handle" role="button" tabindex="0" aria-pressed=${chosen === i ? 'true' : 'false'}
            aria-label=${t('mend.corner', { n: i + 1, of: points.length })} onKeyDown=${onKeyDown(i)}
            onPointerDown=${(e) => {
              e.currentTarget.setPointerCapture?.(e.pointerId);
              held.current = { i, x: e.clientX, y: e.clientY, moved: false, was: chosen };
              choose(i);
            }}
            onClick=${(e) => {
              e.stopPropagation();
              if (held.current && !held.current.moved && held.current.was === i) choose(null);
            }}>
            <circle class="reach" cx=${x} cy=${y} r=${22 * k} />
            <rect x=${x - 7 * k} y=${y - 7 * k} width=${14 * k} height=${14 * k} />
          </g>`;
        })}
      </svg>
      ${dragging && chosen !== null && html`<svg class=${`loupe ${ly < frame.top + frame.high / 2 ? 'low' : ''}`} aria-hidden="true"
        viewBox=${`${lx - loupe} ${ly - loupe} ${2 * loupe} ${2 * loupe}`}>
        <image href=${plan.url} />
        <g class="outline"><path class="under" d=${path(points, at)} /><path class="over" d=${path(points, at)} /></g>
      </svg>`}
    </div>
    ${fault && html`<${Trouble} fault=${fault} />`}
    <div class="row">
      <button class="button" disabled=${chosen === null} onClick=${addAfter}>${t('mend.add')}</button>
      <button class="button" disabled=${chosen === null || points.length <= 3} onClick=${takeOut}>${t('mend.out')}</button>
    </div>
    <div class="thumb"><button class="button main" onClick=${keep}>${t('mend.keep')}</button></div>
  </div>`;
}

export function Mend({ id, scrap: wanted }) {
  const { data, fault } = useDocument(`/api/photos/${encodeURIComponent(id)}`);
  const scrap = data?.scraps.find((one) => String(one.id) === wanted);
  return html`<a class="back" href=${to('scraps', id)}>${t('photo.back')}</a>
    <h1 tabindex="-1">${t('mend.title', { n: scrap?.number ?? '' })}</h1>
    ${fault && html`<${Trouble} fault=${fault} />`}
    ${scrap ? html`<${Editor} photo=${data} scrap=${scrap} key=${scrap.id} />` : !fault && html`<${Waiting} />`}`;
}
