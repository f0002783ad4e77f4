// A picture that is looked at closely: the browser scrolls it (so panning is native, with
// the keyboard too), and pinch, wheel, + and - change its size about the point in view.
import { html, useCallback, useEffect, useLayoutEffect, useRef, useState } from './html.js';
import { t } from '../text/text.js';

export const clamp = (x, low, high) => Math.max(low, Math.min(high, x));

/** Listens to fingers and wheel on an element; gives what ends that. */
export function hearFingers(it, { down, move, up, wheel }) {
  const end = new AbortController();
  for (const [kind, heard] of Object.entries({ pointerdown: down, pointermove: move, pointerup: up, pointercancel: up, wheel }))
    it.addEventListener(kind, heard, { passive: false, signal: end.signal });
  return () => end.abort();
}

/** { zoom, near(point), box } for one picture; zoom 1 is the whole of it. */
export function useZoom(most = 6) {
  const [zoom, setZoom] = useState(1);
  const box = useRef();
  const keep = useRef(null); // the point of the picture that stays under the finger

  const zoomTo = useCallback((wanted, point) => {
    const it = box.current;
    if (!it) return;
    const next = clamp(typeof wanted === 'function' ? wanted(it.zoomed ?? 1) : wanted, 1, most);
    const x = point?.x ?? it.clientWidth / 2;
    const y = point?.y ?? it.clientHeight / 2;
    keep.current = {
      x, y,
      across: (it.scrollLeft + x) / Math.max(1, it.scrollWidth),
      down: (it.scrollTop + y) / Math.max(1, it.scrollHeight),
    };
    it.zoomed = next;
    setZoom(next);
  }, [most]);

  useLayoutEffect(() => {
    const it = box.current;
    const at = keep.current;
    if (!it || !at) return;
    it.scrollLeft = at.across * it.scrollWidth - at.x;
    it.scrollTop = at.down * it.scrollHeight - at.y;
    keep.current = null;
  }, [zoom]);

  useEffect(() => {
    const it = box.current;
    if (!it) return undefined;
    const fingers = new Map();
    let start = null;
    const inBox = (x, y) => {
      const frame = it.getBoundingClientRect();
      return { x: x - frame.left, y: y - frame.top };
    };
    const spread = () => {
      const [a, b] = [...fingers.values()];
      return { apart: Math.hypot(a.x - b.x, a.y - b.y), middle: inBox((a.x + b.x) / 2, (a.y + b.y) / 2) };
    };
    const down = (e) => {
      fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
      if (fingers.size === 2) start = { ...spread(), zoom: it.zoomed ?? 1 };
    };
    const move = (e) => {
      if (!fingers.has(e.pointerId)) return;
      fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
      if (fingers.size === 2 && start) {
        const now = spread();
        zoomTo(start.zoom * now.apart / Math.max(1, start.apart), now.middle);
      }
    };
    const up = (e) => {
      fingers.delete(e.pointerId);
      start = null;
    };
    const wheel = (e) => {
      if (!e.ctrlKey && !e.metaKey) return;
      e.preventDefault();
      zoomTo((z) => z * Math.exp(-e.deltaY / 300), inBox(e.clientX, e.clientY));
    };
    return hearFingers(it, { down, move, up, wheel });
  }, [zoomTo, box.current]);

  return { zoom, zoomTo, box, most };
}

/** The two buttons that go with it: the tap-tap twin of a pinch. */
export const ZoomButtons = ({ view }) => html`<div class="zoom-buttons" data-quick>
  <button type="button" class="plain" disabled=${view.zoom >= view.most}
    onClick=${() => view.zoomTo((z) => z * 1.6)}>${t('zoom.closer')}</button>
  <button type="button" class="plain" disabled=${view.zoom <= 1}
    onClick=${() => view.zoomTo(1)}>${t('zoom.whole')}</button>
</div>`;
