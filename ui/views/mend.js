// Outlines mended by hand, over the photo: corners dragged, a scrap cut in two or joined to
// another, what is none taken away, one that was missed drawn from two taps. Every drag has
// a tap-tap twin, and every tap one for the keyboard.
import { html, useEffect, useLayoutEffect, useRef, useState } from '../lib/html.js';
import { Trouble, Waiting, useWidth } from '../lib/parts.js';
import { PlanImage, bounds, middle, path, toPlan, useMended } from '../lib/plan.js';
import { Handles, Loupe, arrowStep, pixelOf } from '../lib/handles.js';
import { added, merged, middleOf, moved, nearestSide, nodesOf, removed, ringOf } from '../lib/outline.js';
import { Fault, change, refresh, say, useDocument } from '../lib/book.js';
import { drop, taps as waiting } from '../lib/taps.js';
import { follow } from '../lib/photos.js';
import { useDraft } from '../lib/draft.js';
import { ZoomButtons, useZoom } from '../lib/zoom.js';
import { go, to } from '../lib/route.js';
import { t } from '../text/text.js';
import { Wider, lying } from './scraps.js';

const tools = ['corner', 'part', 'join', 'missed'];
const nudge = 1 / 16; // in, by an arrow key
const penStep = 1 / 4;
const nearEdge = 14; // CSS pixels: a tap so near to the outline means it

const outlineOf = (scrap) => `/api/scraps/${encodeURIComponent(scrap)}/outline`;

/** The outline of a scrap that is not being mended: a tap chooses it. */
const Other = ({ scrap, at, k, press }) => {
  const [x, y] = at(middle(scrap.outline_in));
  const d = [scrap.outline_in, ...(scrap.holes_in ?? [])].map((ring) => path(ring, at)).join('');
  return html`<g class="piece" role="button" tabindex="0" data-scrap=${scrap.id} aria-label=${t('scrap.title', { n: scrap.number })}
    onKeyDown=${(e) => {
      if (e.key !== 'Enter' && e.key !== ' ') return;
      e.preventDefault();
      press(scrap.id);
    }}>
    <g class="outline"><path class="under" d=${d} /><path class="over" d=${d} /></g>
    <circle class="tag" cx=${x} cy=${y} r=${11 * k} />
    <text x=${x} y=${y} font-size=${12 * k} dy="0.36em" text-anchor="middle">${scrap.number}</text>
  </g>`;
};

/** A point that she tapped and that waits for the second one. */
const Tapped = ({ point, at, k }) => {
  const [x, y] = at(point);
  return html`<path class="tapped" d=${`M${x - 10 * k} ${y}H${x + 10 * k}M${x} ${y - 10 * k}V${y + 10 * k}`} />`;
};

/** What taps do, for the keyboard: arrows move it, Enter taps. */
function Pen({ at, from, k, tap }) {
  const [place, put] = useState(from);
  const [x, y] = at(place);
  return html`<g class="pen" role="button" tabindex="0" aria-label=${t('mend.pen')} onKeyDown=${(e) => {
    const by = arrowStep(e, penStep);
    if (by) put(([px, py]) => [px + by[0], py + by[1]]);
    else if (e.key === 'Enter' || e.key === ' ') tap(place);
    else return;
    e.preventDefault();
    e.stopPropagation();
  }}><circle cx=${x} cy=${y} r=${9 * k} /><path d=${`M${x - 14 * k} ${y}H${x + 14 * k}M${x} ${y - 14 * k}V${y + 14 * k}`} /></g>`;
}

function Bench({ photo, which }) {
  const { plan } = photo;
  const id = String(photo.photo.id);
  const scraps = lying(photo.scraps);
  const scrap = scraps.find((one) => String(one.id) === which);
  const [tool, setTool] = useState(which === 'missed' ? 'missed' : 'corner');
  // What her hand has changed and not kept: `began` is the scrap as it was when its first corner
  // moved. It outlives the page, and so does what was refused after it had waited here.
  const [draft, setDraft] = useDraft(`outline ${which} ${photo.photo.sha256 ?? ''}`, null);
  const began = draft?.began ?? null;
  const [found, setFound] = useState(() => (scrap ? nodesOf(scrap.outline_in) : []));
  const nodes = draft?.nodes ?? found;
  const [chosen, choose] = useState(null);
  const [taps, setTaps] = useState([]);
  const [fault, setFault] = useState(null);
  const [busy, setBusy] = useState(false);
  const [size, setSize] = useState([plan.width_px ?? 0, plan.height_px ?? 0]);
  const view = useZoom(10);
  const frame = useRef();
  const aim = useRef(null); // what the view looks at after it has come closer
  const [fit, setFit] = useState(1); // as wide as the box, or less when it is too low for that
  const svg = useRef();
  const loupe = useRef();
  const lines = useRef([]); // the paths of the outline: in the picture and in the loupe
  const drawn = useRef(null); // where a line that is drawn in one go began
  const width = useWidth(frame);
  const refit = () => {
    const box = view.box.current;
    if (size[0] && box?.clientHeight) setFit(Math.min(1, box.clientHeight / box.clientWidth * size[0] / size[1]));
  };
  useLayoutEffect(() => {
    // The picture's place is known before the picture is here.
    if (size[0]) frame.current.style.aspectRatio = `${size[0]} / ${size[1]}`;
    refit();
    const watch = new ResizeObserver(refit); // a screen that is turned
    watch.observe(view.box.current);
    return () => watch.disconnect();
  }, [size[0] / size[1]]);
  const at = toPlan(plan);
  const k = size[0] / (width || 390);
  const changed = began !== null;
  const inches = (e) => {
    const [x, y] = pixelOf(svg.current, e);
    return [x / plan.pixels_per_in + plan.left_in, plan.top_in - y / plan.pixels_per_in];
  };

  // Another scrap, or this one as another device left it: its corners as they are now.
  useEffect(() => {
    if (scrap) setFound(nodesOf(scrap.outline_in));
  }, [scrap?.id, String(scrap?.outline_in)]);

  const look = () => {
    const box = view.box.current;
    if (!box || !aim.current) return;
    box.scrollLeft = aim.current[0] * frame.current.clientWidth - box.clientWidth / 2;
    box.scrollTop = aim.current[1] * frame.current.clientHeight - box.clientHeight / 2;
  };
  // The chosen one fills the view when it is chosen.
  useLayoutEffect(() => {
    const box = view.box.current;
    if (!scrap || !box || !size[0] || !box.clientWidth) return;
    const edge = bounds(scrap.outline_in);
    const [left, top] = at([edge.left, edge.top]);
    const [right, bottom] = at([edge.right, edge.bottom]);
    const whole = box.clientWidth * fit / size[0];
    aim.current = [(left + right) / 2 / size[0], (top + bottom) / 2 / size[1]];
    view.zoomTo(0.7 * Math.min(box.clientWidth / ((right - left) * whole), box.clientHeight / ((bottom - top) * whole)));
    look();
  }, [scrap?.id, size[0] > 0, fit]);
  useLayoutEffect(look, [view.zoom, fit, width]);

  const refused = waiting.use().find((one) => one.fault && one.path === outlineOf(which));
  useEffect(() => {
    if (!refused || !scrap) return;
    setDraft({ began: { ...scrap, outline_in: refused.body.was_in ?? scrap.outline_in }, nodes: nodesOf(refused.body.outline_in) });
    setFault(new Fault(refused.fault));
    drop(refused);
  }, [refused?.key, scrap?.id]);

  const edit = (next, corner) => {
    const { id: one, number, outline_in, holes_in } = began ?? scrap;
    setDraft({ began: { id: one, number, outline_in, holes_in }, nodes: next });
    setFault(null);
    choose(corner);
  };
  const putBack = () => {
    setDraft(undefined);
    choose(null);
    setFault(null);
  };
  /** What both devices changed, in one outline, for her to look at before she keeps it. */
  const joint = merged(began?.outline_in ?? [], ringOf(nodes), scrap?.outline_in ?? []);
  const keepBoth = () => {
    const { id: one, number, outline_in, holes_in } = scrap;
    setDraft({ began: { id: one, number, outline_in, holes_in }, nodes: nodesOf(joint.ring) });
    choose(null);
    setFault(null);
    say(t('mend.merged', { n: number, both: joint.both }));
  };
  /** Sends a change; what went wrong is said beside the picture. */
  const send = async (run) => {
    if (busy) return false;
    setBusy(true);
    setFault(null);
    try {
      await run();
      return true;
    } catch (trouble) {
      if (!(trouble instanceof Fault)) throw trouble;
      setFault(trouble);
      return false;
    } finally {
      setBusy(false);
      setTaps([]);
    }
  };
  // `over`: also over what another device has kept meanwhile; Undo brings that back.
  const keep = (over = false) => (changed ? send(async () => {
    await change('PUT', outlineOf(began.id), {
      outline_in: ringOf(nodes), holes_in: began.holes_in ?? [], ...(over ? {} : { was_in: began.outline_in }),
    }, { done: t('mend.done', { n: began.number }), quiet: true, keep: true, look: to('scraps', id, 'mend', String(began.id)) });
    setDraft(undefined);
    choose(null);
  }) : Promise.resolve(true));
  const turnTo = async (next) => {
    if (!(await keep())) return;
    setTool(next);
    setTaps([]);
    choose(null);
  };
  const takeUp = async (other) => {
    if (await keep()) go('scraps', id, 'mend', String(other));
  };
  const part = (line) => send(async () => {
    const { scraps: parts } = await change('POST', `/api/scraps/${encodeURIComponent(scrap.id)}/part`, { line_in: line, was_in: scrap.outline_in }, {
      done: ({ scraps: all }) => t('mend.parted', { n: scrap.number, parts: all.map((one) => one.number) }), quiet: true,
    });
    if (parts.every((one) => String(one.id) !== which)) go('scraps', id, 'mend', String(parts[0].id));
  });
  const join = (other) => send(async () => {
    const whole = await change('POST', '/api/scraps/join', { scraps: [scrap.id, other] }, { done: t('mend.joined', { n: scrap.number }), quiet: true });
    setTool('corner');
    if (String(whole.id) !== which) go('scraps', id, 'mend', String(whole.id));
  });
  const takeAway = () => send(async () => {
    await change('DELETE', `/api/scraps/${encodeURIComponent(scrap.id)}`, undefined, { done: t('mend.away', { n: scrap.number }), quiet: true });
    setDraft(undefined);
    go('scraps', id, 'mend');
  });
  const grow = (two) => send(async () => {
    const { job } = await change('POST', `/api/photos/${encodeURIComponent(id)}/grow`, { taps_in: two }, { quiet: true });
    const grown = await follow(job);
    refresh();
    say(t('mend.grown', { n: grown.number }), { undo: true });
    setTool('corner');
    go('scraps', id, 'mend', String(grown.id));
  });

  /** A tap at a point, on another scrap or none. */
  const tap = (point, other) => {
    if (busy) return;
    if (tool === 'join' && scrap && other !== undefined) join(other);
    else if (tool === 'part' && scrap) {
      if (taps.length === 0) setTaps([point]);
      else part([taps[0], point]);
    } else if (tool === 'missed') {
      if (taps.length === 0) setTaps([point]);
      else grow([taps[0], point]);
    } else if (tool === 'corner' && chosen !== null) edit(moved(nodes, chosen, point), null);
    else if (tool === 'corner' && scrap && nearestSide(nodes, point).off * plan.pixels_per_in < nearEdge * k) {
      const side = nearestSide(nodes, point);
      edit(added(nodes, side.side, side.at), side.side + 1);
    } else if (other !== undefined) takeUp(other);
  };

  const draws = tool === 'part' && scrap;
  const ring = nodes.length > 0 ? ringOf(nodes) : scrap?.outline_in ?? [];
  const d = scrap ? [ring, ...(scrap.holes_in ?? [])].map((one) => path(one, at)).join('') : '';
  const redraw = (i, point) => {
    const now = [ringOf(moved(nodes, i, point)), ...(scrap.holes_in ?? [])].map((one) => path(one, at)).join('');
    for (const line of lines.current) line?.setAttribute('d', now);
  };
  const both = (first) => html`<path class="under" d=${d} ref=${(it) => { lines.current[first] = it; }} />
    <path class="over" d=${d} ref=${(it) => { lines.current[first + 1] = it; }} />`;
  const others = scraps.filter((one) => one !== scrap);
  const pen = scrap ? middle(scrap.outline_in) : [plan.left_in + size[0] / plan.pixels_per_in / 2, plan.top_in - size[1] / plan.pixels_per_in / 2];

  return html`<div class="mend">
    <div class="mend-tools" role="group" aria-label=${t('mend.tools')}>${tools.map((one) => html`<button key=${one} class="tool"
        aria-pressed=${tool === one ? 'true' : 'false'} disabled=${busy} onClick=${() => turnTo(one)}>${t(`mend.tool.${one}`)}</button>`)}
      <button class="tool stop" disabled=${!scrap || busy} onClick=${takeAway}>${t('mend.none')}</button>
    </div>
    <p class="mend-how" role="status">${busy ? t('mend.busy') : t(!scrap && tool !== 'missed' ? 'mend.choose' : `mend.how.${tool}${taps.length ? '.second' : ''}`)}</p>
    <div class="zoom mend-zoom" ref=${view.box} tabindex="0" role="group" aria-label=${t('plan.look')} onPointerDown=${() => { aim.current = null; }} onKeyDown=${(e) => {
      if (e.key === '+' || e.key === '=') view.zoomTo((z) => z * 1.6);
      if (e.key === '-') view.zoomTo((z) => z / 1.6);
    }} onWheel=${(e) => {
      // The wheel looks closer; Shift or a second wheel moves along.
      if (e.ctrlKey || e.metaKey || e.shiftKey || Math.abs(e.deltaX) > Math.abs(e.deltaY)) return;
      e.preventDefault();
      aim.current = null; // from here on she looks where she likes
      const edge = view.box.current.getBoundingClientRect();
      view.zoomTo((z) => z * Math.exp(-e.deltaY / 400), { x: e.clientX - edge.left, y: e.clientY - edge.top });
    }}>
      <${Wider} zoom=${view.zoom * fit}><div class="plan" ref=${frame}>
        <${PlanImage} plan=${plan} size=${size} name=${photo.photo.name} onSize=${setSize} />
        ${size[0] > 0 && html`<svg ref=${svg} class=${draws ? 'mend-picture draws' : 'mend-picture'} viewBox=${`0 0 ${size[0]} ${size[1]}`} role="group"
          aria-label=${scrap ? t('mend.picture', { n: scrap.number }) : t('plan.pieces')}
          onPointerDown=${(e) => {
            drawn.current = draws && !e.target.closest('.handle') ? { point: inches(e), x: e.clientX, y: e.clientY } : null;
          }}
          onPointerUp=${(e) => {
            const it = drawn.current;
            drawn.current = null;
            if (!it || Math.hypot(e.clientX - it.x, e.clientY - it.y) < 12) return;
            setTaps([]);
            part([it.point, inches(e)]);
            svg.current.drew = true; // the click that follows is no tap
          }}
          onClick=${(e) => {
            if (svg.current.drew) {
              svg.current.drew = false;
              return;
            }
            const other = e.target.closest('[data-scrap]')?.dataset.scrap;
            tap(inches(e), others.find((one) => String(one.id) === other)?.id);
          }}>
          ${others.map((one) => html`<${Other} key=${one.id} scrap=${one} at=${at} k=${k}
            press=${() => (tool === 'join' && scrap ? join(one.id) : takeUp(one.id))} />`)}
          ${scrap && html`<g class="outline mending">${both(0)}</g>`}
          ${scrap && tool === 'corner' && html`<${Handles} key=${scrap.id} points=${nodes.map((node) => node.at)} at=${at} from=${inches} k=${k} step=${nudge}
            chosen=${chosen} choose=${choose} loupe=${loupe} onDrag=${redraw}
            onMove=${(i, point) => edit(moved(nodes, i, point), i)}
            onDelete=${(i) => { if (nodes.length > 3) edit(removed(nodes, i), null); }} />`}
          ${taps.map((point) => html`<${Tapped} key=${String(point)} point=${point} at=${at} k=${k} />`)}
          ${(draws || tool === 'missed') && html`<${Pen} key=${tool} at=${at} from=${pen} k=${k} tap=${(point) => tap(point)} />`}
        </svg>`}
      </div></${Wider}>
    </div>
    <${Loupe} loupe=${loupe} href=${plan.url} width=${size[0]} height=${size[1]}><g class="outline">${both(2)}</g></${Loupe}>
    <div class="mend-near" data-quick>
      <${ZoomButtons} view=${view} />
      ${tool === 'corner' && chosen !== null && html`
        <button class="plain" onClick=${() => edit(added(nodes, chosen, middleOf(nodes, chosen)), chosen + 1)}>${t('mend.add')}</button>
        <button class="plain" disabled=${nodes.length <= 3} onClick=${() => edit(removed(nodes, chosen), null)}>${t('mend.out')}</button>`}
      ${changed && html`<button class="plain" onClick=${putBack}>${t('mend.back')}</button>`}
    </div>
    ${fault && html`<${Trouble} fault=${fault} />`}
    ${fault?.code === 'app.changed-meanwhile' && html`<button class="button" onClick=${() => { refresh(); putBack(); }}>${t('mend.now')}</button>
      ${changed && joint && html`<button class="button" onClick=${keepBoth}>${t('mend.both')}</button>`}
      ${changed && html`<button class="plain" onClick=${() => keep(true)}>${t('mend.mine')}</button>`}`}
    <div class="thumb">${changed
      ? html`<button class="button main" disabled=${busy} onClick=${() => keep()}>${t('mend.keep')}</button>`
      : html`<a class="button main" href=${to('scraps', id)}>${t('mend.finished')}</a>`}</div>
  </div>`;
}

export function Mend({ id, scrap: which }) {
  const { data: photo, fault } = useDocument(`/api/photos/${encodeURIComponent(id)}`);
  const data = useMended(photo);
  const scrap = data?.scraps.find((one) => String(one.id) === which);
  return html`<a class="back" href=${to('scraps', id)}>${t('photo.back')}</a>
    <h1 tabindex="-1" class="mend-title">${scrap ? t('mend.title', { n: scrap.number }) : t('mend.title.all')}</h1>
    ${fault && html`<${Trouble} fault=${fault} />`}
    ${data ? html`<${Bench} photo=${data} which=${which} key=${which ?? ''} />` : !fault && html`<${Waiting} />`}`;
}
