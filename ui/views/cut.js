// Cut these: one scrap at a time on the mat, its cuts in order, what she really got, and
// into the basket. A stop-clock learns how long her moves take.
import { html, useEffect, useMemo, useState } from '../lib/html.js';
import { Choice, Seam, Stepper, Trouble, Waiting } from '../lib/parts.js';
import { ask, change, refresh, useDocument } from '../lib/book.js';
import { area, long, unit as unitWords } from '../lib/amount.js';
import { useSystem } from '../lib/maker.js';
import { Stitches, bounds, path, toPlan } from '../lib/plan.js';
import { go, to } from '../lib/route.js';
import { t } from '../text/text.js';

const r1 = (x) => Math.round(x * 10) / 10;
const d = (line, at) => `M${line.map((p) => at(p).map(r1).join(' ')).join('L')}`;

/** The plan of a scrap that gives most, or the one that is easiest, where that is another. */
const planOf = (cut, scrap, wanted) => {
  const plans = (cut?.plans ?? []).filter((plan) => plan.scrap === scrap);
  const chosen = plans.find((plan) => plan.chosen) ?? plans[0];
  return wanted === 'easiest' ? plans.find((plan) => plan.easiest) ?? chosen : chosen;
};

/** Its other plan, when both differ. */
const otherPlan = (cut, plan) => (cut?.plans ?? []).find((one) => one !== plan
  && one.scrap === plan.scrap && one.easiest !== undefined && (one.easiest || one.chosen));

/** Cuts that are made are sewn; the next one is laid out with its number; the rest wait. */
function CuttingPicture({ plan, scrap, cut, made, label }) {
  const at = toPlan(plan);
  const lines = cut.lines_in ?? [];
  const box = bounds([...scrap.outline_in, ...lines.flat()]);
  const [left, top] = at([box.left, box.top]);
  const [right, bottom] = at([box.right, box.bottom]);
  const size = Math.max(right - left, bottom - top);
  const pad = size * 0.08 + 2;
  const clip = `mat-${scrap.id}`;
  const next = lines[made];
  const rings = [scrap.outline_in, ...(scrap.holes_in ?? [])].map((ring) => path(ring, at)).join('');
  const tag = size * 0.032;
  const [x, y] = next ? at(next[0]) : [0, 0];
  const [x1, y1] = next ? at(next[1]) : [0, 0];
  const run = Math.hypot(x1 - x, y1 - y) || 1;
  return html`<svg class="scrap-picture mat-picture" role="img" aria-label=${label}
    viewBox=${[left - pad, top - pad, right - left + 2 * pad, bottom - top + 2 * pad].map(r1).join(' ')}>
    <clipPath id=${clip}><path d=${rings} clip-rule="evenodd" /></clipPath>
    <image href=${plan.url} clip-path=${`url(#${clip})`} />
    <${Stitches} scrap=${scrap} at=${at} />
    <g class="cut">${(cut.corners_in ?? []).map((square) => html`<path class="square" d=${path(square, at)} />`)}</g>
    <g class="mat-lines">
      ${lines.map((line, i) => i !== made && html`<path class=${i < made ? 'made' : 'later'} d=${d(line, at)} />`)}
      ${next && html`<path class="next-under" d=${d(next, at)} /><path class="next" d=${d(next, at)} />
        <circle class="tag" cx=${x - (x1 - x) / run * tag} cy=${y - (y1 - y) / run * tag} r=${tag} />
        <text x=${x - (x1 - x) / run * tag} y=${y - (y1 - y) / run * tag} font-size=${tag * 1.2} dy="0.36em" text-anchor="middle">${made + 1}</text>`}
    </g>
  </svg>`;
}

const bit = ({ width_in: width, height_in: height, string }, system) => t(string ? 'mat.string' : 'mat.bit',
  { size: `${long(width, system).replace(/ \S+$/, '')} × ${long(height, system)}` });

/** What a plan gives and takes, in two lines and a list. */
function PlanFacts({ cut, other, unit }) {
  const system = useSystem();
  const left = cut.leftovers ?? [];
  return html`<p class="says"><strong>${t('mat.gives', { n: cut.squares, unit: unitWords(unit) })}</strong>
      ${' '}${cut.squares >= cut.bound ? t('mat.most') : t('mat.bound', { n: cut.bound })}</p>
    <p class="says">${t('mat.takes', cut)}</p>
    ${cut.waste_sq_in !== undefined && html`<p class="says quiet">${t('mat.waste', { area: area(cut.waste_sq_in, system) })}</p>`}
    ${other && html`<p class="says">${t(other.squares > cut.squares ? 'mat.or.more' : 'mat.or.less', other)}</p>`}
    ${left.length > 0 && html`<details><summary>${t('mat.left', { n: left.length })}</summary>
      <ul>${left.map((one, i) => html`<li key=${i}>${bit(one, system)}</li>`)}</ul></details>`}`;
}

/** Where she is in the cuts: "Cut 3 of 9, second laying". */
const where = (cut, made) => {
  const all = (cut.lines_in ?? []).length;
  if (made >= all) return t('mat.done');
  return t('mat.cut', { n: made + 1, all, pass: cut.lines_pass?.[made] });
};

const minutes = (n) => t('minutes.about', { n: Math.max(1, Math.round(n)) });
const clock = (s) => `${Math.floor(s / 60)}:${String(s % 60).padStart(2, '0')}`;
const moves = ['passes', 'cuts', 'turns', 'handled'];

/** Start, cut some, stop: the moves of what was cut meanwhile teach her times. */
function StopClock({ cutSince, onStart }) {
  const [started, setStarted] = useState(null);
  const [now, setNow] = useState(0);
  const [answer, setAnswer] = useState({});
  useEffect(() => {
    if (started === null) return undefined;
    const timer = setInterval(() => setNow(Date.now()), 500);
    return () => clearInterval(timer);
  }, [started]);
  const seconds = started === null ? 0 : Math.max(0, Math.round((now - started) / 1000));
  const stop = async () => {
    const body = { seconds: Math.max(1, Math.round((Date.now() - started) / 1000)) };
    for (const move of moves) body[move] = cutSince.reduce((sum, plan) => sum + (plan[move] ?? 0), 0);
    setStarted(null);
    try {
      setAnswer({ times: (await change('POST', '/api/tools/times', body, { done: t('clock.kept'), quiet: true })).times });
    } catch (fault) {
      setAnswer({ fault });
    }
  };
  return html`<details class="stop-clock" open=${started !== null || Boolean(answer.times || answer.fault)}><summary>${t('clock')}</summary>
    <p>${t('clock.says')}</p>
    <div class="row">
      ${started === null
        ? html`<button class="button" onClick=${() => { setNow(Date.now()); setStarted(Date.now()); setAnswer({}); onStart(); }}>${t('clock.start')}</button>`
        : html`<button class="button" disabled=${cutSince.length === 0} onClick=${stop}>${t('clock.stop')}</button>
          <span class="large" role="timer" aria-label=${t('clock')}>${clock(seconds)}</span>
          <span class="quiet">${t('clock.cut', { n: cutSince.length })}</span>`}
    </div>
    ${answer.times && html`<p>${t('clock.learnt', answer.times)}</p>`}
    ${answer.fault && html`<${Trouble} fault=${answer.fault} />`}
  </details>`;
}

/** The scrap that lies on the mat. */
function OnTheMat({ photo, row, other, unit, made, onMade, got, onGot, isLeft, onLeave }) {
  const { scrap, plan, squares } = row;
  const all = (plan.lines_in ?? []).length;
  return html`<section class="mat" aria-labelledby="mat-title">
    <${CuttingPicture} plan=${photo.plan} scrap=${scrap} cut=${plan} made=${made}
      label=${t('scrap.picture', { n: scrap.number, squares: plan.squares })} />
    <div>
      <h2 id="mat-title">${t('scrap.title', { n: scrap.number })}</h2>
      <${PlanFacts} cut=${plan} other=${other} unit=${unit} />
      ${isLeft
        ? html`<button class="plain" onClick=${() => onLeave(false)}>${t('cut.take.in')}</button>`
        : html`<p class="middling" role="status">${where(plan, made)}</p>
          <div class="row">
            <button class="button" disabled=${made >= all} onClick=${() => onMade(made + 1)}>${t('mat.cut.it')}</button>
            <button class="plain" disabled=${made <= 0} onClick=${() => onMade(made - 1)}>${t('mat.back')}</button>
            ${made < all && html`<button class="plain" onClick=${() => onMade(all)}>${t('mat.all')}</button>`}
          </div>
          <div class="row">
            <span class="quiet" aria-hidden="true">${t('cut.got')}</span>
            <${Stepper} label=${t('cut.got.for', { n: scrap.number })} value=${squares} max=${999} onChange=${onGot} />
            ${got !== undefined && got !== plan.squares && html`<span class="quiet">${t('mat.planned', { n: plan.squares })}</span>`}
            <button class="plain" onClick=${() => onLeave(true)}>${t('cut.leave')}</button>
          </div>`}
    </div>
  </section>`;
}

export function Cut({ id }) {
  const { data: photo, fault } = useDocument(`/api/photos/${encodeURIComponent(id)}`);
  const [method, setMethod] = useState('best');
  const [answer, setAnswer] = useState({});
  const [shown, setShown] = useState(null); // the scrap on the mat
  const [got, setGot] = useState({}); // scrap id -> squares that she really got
  const [left, setLeft] = useState({}); // scrap id -> true: not cutting this one today
  const [made, setMade] = useState({}); // scrap id -> cuts that are made
  const [timed, setTimed] = useState({}); // scraps that were cut before the clock started
  const [busy, setBusy] = useState(false);

  const scraps = useMemo(() => (photo?.scraps ?? []).filter((scrap) => (scrap.state ?? 'lying') === 'lying'), [photo]);
  const ids = scraps.map((scrap) => scrap.id).join();
  useEffect(() => {
    if (!ids) return;
    ask('/api/cut', { scraps: scraps.map((scrap) => scrap.id) }).then((cut) => setAnswer({ cut }), (trouble) => setAnswer({ trouble }));
  }, [ids]);

  const back = html`<a class="back" href=${to('scraps', id)}>${t('photo.back')}</a>`;
  if (fault) return html`${back}<h1 tabindex="-1">${t('cut.title')}</h1><${Trouble} fault=${fault} again=${refresh} />`;
  if (!photo || (!answer.cut && !answer.trouble && ids)) return html`${back}<h1 tabindex="-1">${t('cut.title')}</h1><${Waiting} />`;
  if (answer.trouble) return html`${back}<h1 tabindex="-1">${t('cut.title')}</h1><${Trouble} fault=${answer.trouble} />`;

  const unit = answer.cut?.unit_in ?? 2.5;
  const all = scraps.map((scrap) => {
    const plan = planOf(answer.cut, scrap.id, method);
    return { scrap, plan, squares: got[scrap.id] ?? plan?.squares ?? 0 };
  });
  const rows = all.filter(({ plan }) => plan?.squares > 0);
  const small = all.length - rows.length;
  const kept = rows.filter(({ scrap }) => !left[scrap.id]);
  const total = kept.reduce((sum, row) => sum + row.squares, 0);
  const isCut = ({ scrap, plan }) => (made[scrap.id] ?? 0) >= (plan.lines_in ?? []).length;
  const on = rows.find(({ scrap }) => scrap.id === shown) ?? rows[0];
  const at = rows.indexOf(on);
  const differ = rows.some(({ plan }) => otherPlan(answer.cut, plan));
  const put = async () => {
    setBusy(true);
    try {
      await change('POST', '/api/cut/done', {
        scraps: kept.map(({ scrap, squares }) => ({ scrap: scrap.id, squares })),
      }, { done: t('cut.in.basket', { n: total }) });
      go('basket');
    } catch { /* it has been said; nothing is lost here */ }
    setBusy(false);
  };
  return html`${back}
    <h1 tabindex="-1">${t('cut.title')}</h1>
    <div class="cutting">
      <p class="middling">${t('cut.promise', { n: rows.reduce((sum, { plan }) => sum + plan.squares, 0), unit: unitWords(unit) })}
        ${rows.length > 0 && html`<span class="quiet">${' '}${minutes(rows.reduce((sum, { plan }) => sum + (plan.minutes ?? 0), 0))}</span>`}</p>
      <p class="caution">${t('caution.cutter')}</p>
      ${differ && html`<${Choice} name="method" legend=${t('cut.method')} value=${method} onChange=${(next) => { setMethod(next); setGot({}); setMade({}); }} options=${[
        { value: 'best', words: t('cut.best') },
        { value: 'easiest', words: t('cut.easiest') },
      ]} />`}
      ${rows.length > 1 && html`<nav aria-label=${t('mat.which')}><ul class="mat-list plain-list">${rows.map((row) => html`<li key=${row.scrap.id}>
        <button class=${left[row.scrap.id] ? 'left' : isCut(row) ? 'done' : ''} aria-current=${row === on ? 'true' : undefined}
          aria-label=${t(isCut(row) ? 'mat.go.done' : 'mat.go', { n: row.scrap.number, squares: row.squares })}
          onClick=${() => setShown(row.scrap.id)}>${row.scrap.number}</button>
      </li>`)}</ul></nav>`}
      ${on && html`<${OnTheMat} key=${on.scrap.id} photo=${photo} row=${on} unit=${unit} other=${otherPlan(answer.cut, on.plan)}
          made=${made[on.scrap.id] ?? 0} onMade=${(n) => setMade({ ...made, [on.scrap.id]: n })}
          got=${got[on.scrap.id]} onGot=${(n) => setGot({ ...got, [on.scrap.id]: n })}
          isLeft=${Boolean(left[on.scrap.id])} onLeave=${(is) => setLeft({ ...left, [on.scrap.id]: is })} />
        ${rows.length > 1 && html`<div class="row">
          <button class="plain" disabled=${at <= 0} onClick=${() => setShown(rows[at - 1].scrap.id)}>${t('mat.before')}</button>
          <button class="plain" disabled=${at >= rows.length - 1} onClick=${() => setShown(rows[at + 1].scrap.id)}>${t('mat.after')}</button>
        </div>`}`}
      ${small > 0 && html`<p class="quiet">${t('cut.small', { n: small, unit: unitWords(unit) })}</p>`}
      ${rows.length === 0
        ? html`<p>${t(small > 0 ? 'cut.none' : 'photo.nothing')}</p>`
        : html`<div class="thumb"><button class="button main" onClick=${put} disabled=${busy || kept.length === 0}>
          ${t('cut.put', { n: total })}</button></div>
          <${Seam} />
          <${StopClock} onStart=${() => setTimed(Object.fromEntries(rows.filter(isCut).map(({ scrap }) => [scrap.id, true])))}
            cutSince=${kept.filter((row) => isCut(row) && !timed[row.scrap.id]).map(({ plan }) => plan)} />
          <p><a target="_blank" rel="noopener" href="/api/print/cutting.pdf">${t('cut.print')}</a></p>`}
    </div>`;
}
