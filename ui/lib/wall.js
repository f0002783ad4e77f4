// The wall: finished blocks in her fabrics on a canvas that is panned and zoomed. The quilt
// as a whole is painted once, place by place, and only what changes is painted again; from
// close by the few blocks in view are painted as they are needed.
import { html, useEffect, useLayoutEffect, useRef, useState } from './html.js';
import { painted, swatchOf, useWidth } from './parts.js';
import { undyed, weave } from './weave.js';
import { clamp, hearFingers } from './zoom.js';
import { t } from '../text/text.js';

const mostPixels = 6e6; // of the painting of the whole
/** Where the places of a wall lie, one a unit wide; on point they stand on a corner. */
export function geometry(wall) {
  const rows = wall.grid.length;
  const columns = wall.grid[0]?.length ?? 0;
  const onPoint = wall.on_point;
  return {
    rows, columns, onPoint,
    width: columns,
    height: onPoint ? (rows + 1) / 2 : rows,
    side: onPoint ? Math.SQRT1_2 : 1,
    centre: (r, c) => (onPoint ? [c + 0.5 + (r % 2) * 0.5, (r + 1) / 2] : [c + 0.5, r + 0.5]),
    at(x, y) {
      if (!onPoint) {
        const [r, c] = [Math.floor(y), Math.floor(x)];
        return wall.grid[r]?.[c] ? [r, c] : null;
      }
      for (let r = Math.max(0, Math.floor(2 * y) - 2); r <= Math.min(rows - 1, Math.ceil(2 * y)); r++) {
        const c = Math.floor(x - (r % 2) * 0.5);
        const [mx, my] = this.centre(r, c);
        if (wall.grid[r]?.[c] && Math.abs(x - mx) + Math.abs(y - my) <= 0.5) return [r, c];
      }
      return null;
    },
  };
}

/** Paints blocks. `kinds` are those of the quilt, with how they are drawn. */
export function painter(wall, kinds, later) {
  const drawn = new Map(kinds.map((kind) => [kind.kind, kind.patches]));
  const blocks = new Map(wall.blocks.map((block) => [block.block, block]));
  const fabrics = new Map(wall.fabrics.map((fabric) => [fabric.fabric, fabric]));
  const tint = (role) => {
    const fabric = wall.roles[role];
    if (fabric) return fabric;
    return { srgb: { background: [243, 238, 228], light: [228, 220, 200], dark: [120, 112, 108], accent: [170, 120, 110] }[role] ?? undyed };
  };
  const weaves = new Map();

  function fillOf(pen, fabric, fine) {
    const key = String(fabric.srgb ?? undyed);
    if (!fine) return `rgb(${key})`;
    if (!weaves.has(key)) {
      const tile = painted(weave(fabric.srgb), later);
      if (!tile) return `rgb(${key})`;
      weaves.set(key, pen.createPattern(tile, 'repeat'));
    }
    return weaves.get(key);
  }

  function paintPatch(pen, fabric, x, y, side, salt, prints) {
    const shown = prints && fabric.swatch && side >= 6 ? painted(swatchOf(fabric.fabric), later) : null;
    if (shown) {
      const cut = Math.min(shown.naturalWidth, shown.naturalHeight) * 0.5;
      pen.drawImage(shown, (shown.naturalWidth - cut) * ((salt * 0.37) % 1), (shown.naturalHeight - cut) * ((salt * 0.61) % 1), cut, cut, x, y, side, side);
    } else {
      pen.fillStyle = fillOf(pen, fabric, side >= 14);
      pen.fillRect(x, y, side, side);
    }
  }

  /** What lies at a place, painted about the pen's own middle, `size` pixels wide. */
  return function paint(pen, r, c, lay, size) {
    const { kind } = wall.grid[r][c];
    const patches = drawn.get(kind) ?? [];
    const n = patches.length;
    const block = blocks.get(lay.block);
    const side = size / n;
    pen.save();
    pen.rotate((lay.turn * Math.PI) / 2);
    pen.translate(-size / 2, -size / 2);
    // As it was photographed, less what the seams take, where the eye can tell the difference.
    const photographed = Boolean(block?.picture) && size >= 24;
    const shot = photographed ? painted(`/api/blocks/${block.block}/picture.jpg`, later) : null;
    if (shot) {
      const inset = wall.allowance * shot.naturalWidth;
      pen.drawImage(shot, inset, inset, shot.naturalWidth - 2 * inset, shot.naturalHeight - 2 * inset, 0, 0, size, size);
      pen.restore();
      return;
    }
    const prints = !photographed; // its picture is on its way: until then colours will do
    pen.globalAlpha = block ? 1 : 0.28; // to come: only how it is drawn
    for (let p = 0; p < n * n; p++) {
      const { roles, split } = patches[Math.floor(p / n)][p % n];
      const x = (p % n) * side;
      const y = Math.floor(p / n) * side;
      const known = block?.patches?.[p] ?? null;
      const of = (half) => {
        const id = Array.isArray(known) ? known[half] : known;
        if (id) return fabrics.get(id) ?? tint(roles[half]);
        return roles[half] === 'scrap' ? { srgb: undyed } : tint(roles[half]);
      };
      paintPatch(pen, of(0), x, y, side, p + 1 + (lay.block ?? 0), prints);
      if (split !== 'whole') {
        pen.save();
        pen.beginPath();
        if (split === 'rising') {
          pen.moveTo(x + side, y); pen.lineTo(x + side, y + side); pen.lineTo(x, y + side);
        } else {
          pen.moveTo(x, y); pen.lineTo(x + side, y + side); pen.lineTo(x, y + side);
        }
        pen.clip();
        paintPatch(pen, of(1), x, y, side, p + 5, prints);
        pen.restore();
      }
    }
    pen.globalAlpha = 1;
    if (size >= 12) {
      pen.strokeStyle = 'rgba(60, 50, 40, .35)';
      pen.lineWidth = Math.max(0.5, size / 90);
      pen.strokeRect(0, 0, size, size);
    }
    pen.restore();
  };
}

/** The part of the wall in view; two walls may share one. scale is in pixels a place. */
export function useSight() {
  const [sight, setSight] = useState(null); // null: all of it
  return { sight, setSight };
}

/** What fits the whole wall into a box. */
const whole = (shape, width, height) => {
  const scale = Math.min((width - 16) / shape.width, (height - 16) / shape.height);
  return { scale, x: (width - shape.width * scale) / 2, y: (height - shape.height * scale) / 2 };
};

/**
 * One wall. `marks`: { chosen: [r, c] or null, cursor, rings: [[[r, c], [r, c]]...], held: the
 * blocks that are pinned beside those of the book }.
 * onTap(place), onDrag(from, to) and onKey(key) tell what the maker does.
 */
export function Wall({ wall, kinds, places, label, marks, view, onTap, onDrag, onKey, tall }) {
  const box = useRef();
  const canvas = useRef();
  const kept = useRef({});
  const width = useWidth(box);
  const shape = geometry(wall);
  const height = Math.round(Math.min(tall ?? innerHeight * 0.62, Math.max(220, width * shape.height / Math.max(1, shape.width) + 16)));
  const dense = Math.min(2, devicePixelRatio || 1);
  const fit = whole(shape, width, height);
  const now = view.sight ?? fit;
  kept.current.marks = marks;
  kept.current.live = { shape, fit, now, width, height, view, onTap, onDrag, onKey, wall, places };

  // ---- painting

  const paintAll = () => {
    const it = canvas.current;
    const hold = kept.current;
    if (!it || !hold.paint || hold.live.width === 0) return;
    const { now: at, shape: s, places: lays } = hold.live;
    const pen = it.getContext('2d');
    pen.setTransform(dense, 0, 0, dense, 0, 0);
    pen.clearRect(0, 0, hold.live.width, hold.live.height);
    const far = at.scale * dense <= hold.unit * 1.25;
    if (far) {
      pen.imageSmoothingQuality = 'high';
      pen.drawImage(hold.sheet, at.x, at.y, s.width * at.scale, s.height * at.scale);
    } else {
      for (let r = 0; r < s.rows; r++) {
        for (let c = 0; c < wall.grid[r].length; c++) {
          const [mx, my] = s.centre(r, c);
          const [x, y] = [at.x + mx * at.scale, at.y + my * at.scale];
          if (x < -at.scale || y < -at.scale || x > hold.live.width + at.scale || y > hold.live.height + at.scale) continue;
          pen.save();
          pen.translate(x, y);
          if (s.onPoint) pen.rotate(Math.PI / 4);
          hold.paint(pen, r, c, lays[r][c], at.scale * s.side);
          pen.restore();
        }
      }
    }
    paintMarks(pen, at, s, hold.marks, wall, lays, hold);
  };

  const soon = () => {
    if (kept.current.asked) return;
    kept.current.asked = true;
    requestAnimationFrame(() => {
      kept.current.asked = false;
      paintAll();
    });
  };

  // The painting of the whole, in as many pixels as are worth having.
  useLayoutEffect(() => {
    if (width === 0) return;
    const hold = kept.current;
    const unit = clamp(Math.floor(Math.sqrt(mostPixels / Math.max(1, shape.width * shape.height))), 8, 72);
    const again = () => { // a swatch has come
      if (hold.soonAll) return;
      hold.soonAll = setTimeout(() => {
        hold.soonAll = 0;
        hold.shown = null;
        refill();
        soon();
      }, 60);
    };
    hold.unit = unit;
    hold.sheet = document.createElement('canvas');
    hold.sheet.width = Math.ceil(shape.width * unit);
    hold.sheet.height = Math.ceil(shape.height * unit);
    hold.paint = painter(wall, kinds, again);
    hold.shown = null;
    const refill = () => {
      const lays = hold.live.places;
      const pen = hold.sheet.getContext('2d');
      for (let r = 0; r < lays.length; r++) {
        for (let c = 0; c < lays[r].length; c++) {
          const lay = lays[r][c];
          const was = hold.shown?.[r]?.[c];
          if (was && was.block === lay.block && was.turn === lay.turn) continue;
          const [x, y] = shape.centre(r, c);
          const half = (unit * shape.side) / 2;
          pen.save();
          pen.translate(x * unit, y * unit);
          if (shape.onPoint) pen.rotate(Math.PI / 4);
          pen.clearRect(-half, -half, 2 * half, 2 * half);
          hold.paint(pen, r, c, lay, unit * shape.side);
          pen.restore();
        }
      }
      hold.shown = lays;
    };
    hold.refill = refill;
    refill();
  }, [wall, kinds, width === 0]);

  useLayoutEffect(() => {
    const it = canvas.current;
    it.width = Math.round(width * dense);
    it.height = Math.round(height * dense);
    it.style.width = `${width}px`;
    it.style.height = `${height}px`;
  }, [width, height]);

  useLayoutEffect(() => {
    if (kept.current.shown && kept.current.shown !== places) kept.current.refill();
    paintAll();
  });

  // ---- panning, pinching, tapping, dragging

  useEffect(() => {
    const it = canvas.current;
    const hold = kept.current;
    const fingers = new Map();
    let start = null;
    const point = (e) => {
      const frame = it.getBoundingClientRect();
      return [e.clientX - frame.left, e.clientY - frame.top];
    };
    const placeAt = ([x, y]) => {
      const { now: at, shape: s } = hold.live;
      return s.at((x - at.x) / at.scale, (y - at.y) / at.scale);
    };
    hold.zoom = (factor, x = hold.live.width / 2, y = hold.live.height / 2) => {
      const { now: at, fit: f, view: v } = hold.live;
      const scale = clamp(at.scale * factor, f.scale, Math.max(160, f.scale * 2));
      const by = scale / at.scale;
      v.setSight(scale <= f.scale * 1.001 ? null : hold.bound({ scale, x: x - (x - at.x) * by, y: y - (y - at.y) * by }));
    };
    hold.bound = (at) => {
      const { shape: s, width: w, height: h } = hold.live;
      const room = 40; // some of the wall always stays in view
      return { ...at, x: clamp(at.x, room - s.width * at.scale, w - room), y: clamp(at.y, room - s.height * at.scale, h - room) };
    };
    const down = (e) => {
      it.setPointerCapture(e.pointerId);
      fingers.set(e.pointerId, point(e));
      const at = placeAt(point(e));
      const { chosen } = hold.marks;
      start = { from: point(e), at: hold.live.now, moved: false, place: at, lifts: chosen && at && chosen[0] === at[0] && chosen[1] === at[1] };
      if (fingers.size === 2) {
        const [a, b] = [...fingers.values()];
        start.apart = Math.hypot(a[0] - b[0], a[1] - b[1]);
      }
    };
    const move = (e) => {
      if (!fingers.has(e.pointerId) || !start) return;
      fingers.set(e.pointerId, point(e));
      if (fingers.size === 2 && start.apart) {
        const [a, b] = [...fingers.values()];
        const apart = Math.hypot(a[0] - b[0], a[1] - b[1]);
        hold.zoom(apart / start.apart, (a[0] + b[0]) / 2, (a[1] + b[1]) / 2);
        start.apart = apart;
        start.moved = true;
        return;
      }
      const [x, y] = point(e);
      const [dx, dy] = [x - start.from[0], y - start.from[1]];
      if (!start.moved && Math.hypot(dx, dy) < 7) return;
      start.moved = true;
      if (start.lifts) {
        hold.carried = [x, y];
        soon();
      } else if (fingers.size === 1) {
        hold.live.view.setSight(hold.bound({ scale: start.at.scale, x: start.at.x + dx, y: start.at.y + dy }));
      }
    };
    const up = (e) => {
      if (!fingers.delete(e.pointerId) || !start) return;
      const at = placeAt(point(e));
      hold.carried = null;
      if (e.type === 'pointerup' && !start.moved && start.place) hold.live.onTap?.(start.place);
      else if (e.type === 'pointerup' && start.lifts && start.moved && at) hold.live.onDrag?.(start.place, at);
      // The finger that stays after a pinch goes on from where it is.
      const [rest] = fingers.values();
      start = rest ? { from: rest, at: hold.live.now, moved: true } : null;
      soon();
    };
    const wheel = (e) => {
      e.preventDefault();
      hold.zoom(Math.exp(-e.deltaY / 400), ...point(e));
    };
    return hearFingers(it, { down, move, up, wheel });
  }, []);

  return html`<div class="wall" ref=${box}>
    <canvas ref=${canvas} tabindex="0" role="application" aria-label=${label} onKeyDown=${(e) => {
      if (e.key === '+' || e.key === '=') kept.current.zoom(1.5);
      else if (e.key === '-') kept.current.zoom(1 / 1.5);
      else if (e.ctrlKey || e.metaKey || e.altKey || !onKey?.(e.key)) return;
      e.preventDefault();
      e.stopPropagation();
    }}></canvas>
    <div class="zoom-buttons">
      <button type="button" class="plain" onClick=${() => kept.current.zoom(1.6)}>${t('zoom.closer')}</button>
      <button type="button" class="plain" disabled=${!view.sight} onClick=${() => view.setSight(null)}>${t('zoom.whole')}</button>
    </div>
  </div>`;
}

// ---- marks over the wall ------------------------------------------------------------------

function corners(pen, s, at, [r, c], grow) {
  const [mx, my] = s.centre(r, c);
  pen.save();
  pen.translate(at.x + mx * at.scale, at.y + my * at.scale);
  if (s.onPoint) pen.rotate(Math.PI / 4);
  const side = s.side * at.scale + 2 * grow;
  pen.beginPath();
  pen.rect(-side / 2, -side / 2, side, side);
  pen.restore();
}

/** Stitches are seen on any cloth: dark on a light ground. */
function stitch(pen, style, width, dash) {
  pen.lineCap = 'round';
  pen.setLineDash([]);
  pen.strokeStyle = style.paper;
  pen.lineWidth = width + 3;
  pen.stroke();
  pen.setLineDash(dash);
  pen.strokeStyle = style.ink;
  pen.lineWidth = width;
  pen.stroke();
  pen.setLineDash([]);
}

function paintMarks(pen, at, s, marks, wall, places, hold) {
  const css = getComputedStyle(document.documentElement);
  const thread = { paper: css.getPropertyValue('--paper'), ink: css.getPropertyValue('--thread') };
  const ask = { ...thread, ink: css.getPropertyValue('--ask') };
  for (const [a, b] of marks.rings ?? []) {
    // Two neighbours in one ring of open stitches.
    const [ax, ay] = s.centre(...a);
    const [bx, by] = s.centre(...b);
    pen.save();
    pen.translate(at.x + ((ax + bx) / 2) * at.scale, at.y + ((ay + by) / 2) * at.scale);
    pen.rotate(Math.atan2(by - ay, bx - ax));
    pen.beginPath();
    const long = (Math.hypot(bx - ax, by - ay) + s.side) * at.scale;
    pen.ellipse(0, 0, long * 0.46, s.side * at.scale * 0.36, 0, 0, 2 * Math.PI);
    pen.restore();
    stitch(pen, ask, 2, [6, 6]);
  }
  if (at.scale >= 16) {
    const pinned = new Set([...wall.blocks.filter((block) => block.pinned).map((block) => block.block), ...(marks.held ?? [])]);
    places.forEach((row, r) => row.forEach((lay, c) => {
      if (!pinned.has(lay.block)) return;
      const [mx, my] = s.centre(r, c);
      pen.beginPath();
      pen.arc(at.x + mx * at.scale, at.y + my * at.scale, clamp(at.scale / 9, 3, 9), 0, 2 * Math.PI);
      pen.fillStyle = thread.ink;
      pen.fill();
      pen.strokeStyle = thread.paper;
      pen.lineWidth = 2;
      pen.stroke();
    }));
  }
  if (marks.cursor) {
    corners(pen, s, at, marks.cursor, 1);
    stitch(pen, { ...thread, ink: css.getPropertyValue('--ink') }, 1.5, [3, 4]);
  }
  if (marks.chosen) {
    corners(pen, s, at, marks.chosen, 2);
    stitch(pen, thread, 3, [7, 5]);
    if (hold.carried) {
      const size = s.side * at.scale;
      const [r, c] = marks.chosen;
      pen.save();
      pen.translate(...hold.carried);
      if (s.onPoint) pen.rotate(Math.PI / 4);
      hold.paint(pen, r, c, places[r][c], size);
      pen.beginPath();
      pen.rect(-size / 2, -size / 2, size, size);
      pen.restore();
      stitch(pen, thread, 3, [7, 5]);
    }
  }
}
