// Cut these: one scrap at a time on the mat, its cuts in order, what she really got, and
// into the basket. A stop-clock learns how long her moves take.
import { html, useEffect, useMemo, useState } from '../lib/html.js';
import { Choice, Seam, Stepper, Trouble, Waiting } from '../lib/parts.js';
import { change, refresh, useDocument } from '../lib/book.js';
import { useDraft } from '../lib/draft.js';
import { unit as unitWords, unitText } from '../lib/amount.js';
import { CutButtons, HowToCut, MatPicture, PlanFacts, asked, perWant, useCut } from '../lib/mat.js';
import { go, to } from '../lib/route.js';
import { t } from '../text/text.js';

/** The plan of a scrap that gives most, or the one that is easiest, where that is another. */
const planOf = (cut, scrap, wanted) => {
  const plans = (cut?.plans ?? []).filter((plan) => plan.scrap === scrap);
  const chosen = plans.find((plan) => plan.chosen) ?? plans[0];
  return wanted === 'easiest' ? plans.find((plan) => plan.easiest) ?? chosen : chosen;
};

/** Its other plan, when both differ. */
const otherPlan = (cut, plan) => (cut?.plans ?? []).find((one) => one !== plan
  && one.scrap === plan.scrap && one.easiest !== undefined && (one.easiest || one.chosen));

/** What of a plan goes into the basket: squares, of each size. */
const squaresIn = (cut, plan) => (cut.wants
  ? perWant(plan, cut.wants).filter((one) => one.width_in === one.height_in).map(({ width_in: unit, n }) => ({ unit, n }))
  : [{ unit: cut.unit_in, n: plan?.squares ?? 0 }]);

const sumOf = (squares) => squares.reduce((sum, { n }) => sum + n, 0);

const minutes = (n) => t('minutes.about', { n: Math.max(1, Math.round(n)) });
const clock = (s) => `${Math.floor(s / 60)}:${String(s % 60).padStart(2, '0')}`;
const moves = ['passes', 'cuts', 'turns', 'handled'];

/** Start, cut some, stop: the moves of what was cut meanwhile teach her times. */
function StopClock({ cutSince, started, onStart }) {
  const [now, setNow] = useState(Date.now());
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
    onStart(null);
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
        ? html`<button class="button" onClick=${() => { setNow(Date.now()); setAnswer({}); onStart(Date.now()); }}>${t('clock.start')}</button>`
        : html`<button class="button" disabled=${cutSince.length === 0} onClick=${stop}>${t('clock.stop')}</button>
          <span class="large" role="timer" aria-label=${t('clock')}>${clock(seconds)}</span>
          <span class="quiet">${t('clock.cut', { n: cutSince.length })}</span>`}
    </div>
    ${answer.times && html`<p>${t('clock.learnt', answer.times)}</p>`}
    ${answer.fault && html`<${Trouble} fault=${answer.fault} />`}
  </details>`;
}

/** The scrap that lies on the mat. */
function OnTheMat({ photo, row, other, cut, made, onMade, onGot, isLeft, onLeave }) {
  const { scrap, plan, squares, planned } = row;
  const several = squares.length > 1;
  return html`<section class="mat" aria-labelledby="mat-title">
    <${MatPicture} plan=${photo.plan} scrap=${scrap} cut=${plan} made=${made}
      label=${t('scrap.picture', { n: scrap.number, squares: sumOf(planned) })} />
    <div>
      <h2 id="mat-title">${t('scrap.title', { n: scrap.number })}</h2>
      ${!isLeft && html`<${CutButtons} cut=${plan} made=${made} onMade=${onMade} />`}
      <${PlanFacts} cut=${plan} other=${other} unit=${cut.unit_in} wants=${cut.wants} />
      ${isLeft
        ? html`<button class="plain" onClick=${() => onLeave(false)}>${t('cut.take.in')}</button>`
        : html`${squares.map(({ unit, n }, i) => (planned[i].n > 0 || n > 0) && html`<div class="row" key=${unit}>
            <span class="quiet" aria-hidden="true">${several ? t('cut.got.of', { size: unitWords(unit) }) : t('cut.got')}</span>
            <${Stepper} label=${t(several ? 'cut.got.for.size' : 'cut.got.for', { n: scrap.number, size: unitWords(unit) })} value=${n} max=${999}
              onChange=${(got) => onGot(unit, got)} />
            ${n !== planned[i].n && html`<span class="quiet">${t('mat.planned', { n: planned[i].n })}</span>`}
          </div>`)}
          <div class="row"><button class="plain" onClick=${() => onLeave(true)}>${t('cut.leave')}</button></div>`}
    </div>
  </section>`;
}

const begun = { method: 'best', shown: null, got: {}, left: {}, made: {}, timed: {}, started: null, how: {} };

export function Cut({ id }) {
  const { data: photo, fault } = useDocument(`/api/photos/${encodeURIComponent(id)}`);
  const [busy, setBusy] = useState(false);
  // Half cut, she may look elsewhere: by scrap id what she got (of each unit), which she is not
  // cutting today, how many cuts are made, and which were cut before the clock started.
  const [half, setHalf] = useDraft(photo ? `cut ${id} ${photo.photo.sha256 ?? ''}` : '', begun);
  const { method, shown, got, left, made, timed, started, how } = half;
  const set = (more) => setHalf((now) => ({ ...now, ...more }));

  const scraps = useMemo(() => (photo?.scraps ?? []).filter((scrap) => (scrap.state ?? 'lying') === 'lying'), [photo]);
  const ids = scraps.map((scrap) => scrap.id).join();
  const answer = useCut(ids && JSON.stringify({ scraps: scraps.map((scrap) => scrap.id), ...asked(how) }));

  const back = html`<a class="back" href=${to('scraps', id)}>${t('photo.back')}</a>`;
  if (fault) return html`${back}<h1 tabindex="-1">${t('cut.title')}</h1><${Trouble} fault=${fault} again=${refresh} />`;
  if (!photo || (!answer.cut && !answer.fault && ids)) return html`${back}<h1 tabindex="-1">${t('cut.title')}</h1><${Waiting} />`;
  if (answer.fault && !answer.cut) return html`${back}<h1 tabindex="-1">${t('cut.title')}</h1><${Trouble} fault=${answer.fault} />`;

  const { cut } = answer;
  const unit = cut?.unit_in ?? 2.5;
  const all = scraps.map((scrap) => {
    const plan = planOf(cut, scrap.id, method);
    const planned = cut ? squaresIn(cut, plan) : [];
    const squares = planned.map((one) => ({ unit: one.unit, n: got[scrap.id]?.[one.unit] ?? one.n }));
    return { scrap, plan, planned, squares, pieces: cut?.wants ? plan?.pieces?.length ?? 0 : sumOf(planned) };
  });
  const rows = all.filter(({ pieces }) => pieces > 0);
  const small = all.length - rows.length;
  const kept = rows.filter(({ scrap }) => !left[scrap.id]);
  const total = kept.reduce((sum, row) => sum + sumOf(row.squares), 0);
  const isCut = ({ scrap, plan }) => (made[scrap.id] ?? 0) >= (plan.lines_in ?? []).length;
  const on = rows.find(({ scrap }) => scrap.id === shown) ?? rows[0];
  const at = rows.indexOf(on);
  const differ = !cut?.wants && rows.some(({ plan }) => otherPlan(cut, plan));
  const planned = rows.reduce((sum, row) => sum + row.pieces, 0);
  const put = async () => {
    setBusy(true);
    try {
      await change('POST', '/api/cut/done', {
        scraps: kept.flatMap(({ scrap, squares }) => squares.map((one) => ({ scrap: scrap.id, squares: one.n, unit: unitText(one.unit) }))),
      }, { done: t('cut.in.basket', { n: total }) });
      setHalf(undefined);
      go('basket');
    } catch { /* it has been said; nothing is lost here */ }
    setBusy(false);
  };
  return html`${back}
    <h1 tabindex="-1">${t('cut.title')}</h1>
    <div class="cutting">
      <p class="middling">${cut?.wants ? t('cut.promise.several', { n: planned }) : t('cut.promise', { n: planned, unit: unitWords(unit) })}
        ${rows.length > 0 && html`<span class="quiet">${' '}${minutes(rows.reduce((sum, { plan }) => sum + (plan.minutes ?? 0), 0))}</span>`}</p>
      <p class="caution">${t('caution.cutter')}</p>
      ${differ && html`<${Choice} name="method" legend=${t('cut.method')} value=${method} onChange=${(next) => set({ method: next, got: {}, made: {} })} options=${[
        { value: 'best', words: t('cut.best') },
        { value: 'easiest', words: t('cut.easiest') },
      ]} />`}
      ${rows.length > 1 && html`<nav aria-label=${t('mat.which')}><ul class="mat-list plain-list">${rows.map((row) => html`<li key=${row.scrap.id}>
        <button class=${left[row.scrap.id] ? 'left' : isCut(row) ? 'done' : ''} aria-current=${row === on ? 'true' : undefined}
          aria-label=${t(isCut(row) ? 'mat.go.done' : 'mat.go', { n: row.scrap.number, squares: sumOf(row.squares) })}
          onClick=${() => set({ shown: row.scrap.id })}>${row.scrap.number}</button>
      </li>`)}</ul></nav>`}
      ${on && html`<${OnTheMat} key=${on.scrap.id} photo=${photo} row=${on} cut=${cut} other=${cut.wants ? undefined : otherPlan(cut, on.plan)}
          made=${made[on.scrap.id] ?? 0} onMade=${(n) => set({ made: { ...made, [on.scrap.id]: n } })}
          onGot=${(size, n) => set({ got: { ...got, [on.scrap.id]: { ...got[on.scrap.id], [size]: n } } })}
          isLeft=${Boolean(left[on.scrap.id])} onLeave=${(is) => set({ left: { ...left, [on.scrap.id]: is } })} />
        ${rows.length > 1 && html`<div class="row" data-quick>
          <button class="plain" disabled=${at <= 0} onClick=${() => set({ shown: rows[at - 1].scrap.id })}>${t('mat.before')}</button>
          <button class="plain" disabled=${at >= rows.length - 1} onClick=${() => set({ shown: rows[at + 1].scrap.id })}>${t('mat.after')}</button>
        </div>`}`}
      <${HowToCut} how=${how} onHow=${(next) => set({ how: next, got: {}, made: {} })} unit=${unit} />
      ${answer.fault && html`<${Trouble} fault=${answer.fault} />`}
      ${small > 0 && html`<p class="quiet">${cut?.wants ? t('cut.small.several', { n: small }) : t('cut.small', { n: small, unit: unitWords(unit) })}</p>`}
      ${rows.length === 0
        ? html`<p>${t(small > 0 ? 'cut.none' : 'photo.nothing')}</p>`
        : html`<div class="thumb"><button class="button main" onClick=${put} disabled=${busy || kept.length === 0}>
          ${t('cut.put', { n: total })}</button></div>
          <${Seam} />
          <${StopClock} started=${started} onStart=${(at) => set({ started: at, timed: Object.fromEntries(rows.filter(isCut).map(({ scrap }) => [scrap.id, true])) })}
            cutSince=${kept.filter((row) => isCut(row) && !timed[row.scrap.id]).map(({ plan }) => plan)} />
          <p><a target="_blank" rel="noopener" href="/api/print/cutting.pdf">${t('cut.print')}</a></p>`}
    </div>`;
}
