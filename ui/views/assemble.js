// Assemble: the steps from blocks to a top, each row measured against the plan, what nests,
// and borders as long as the top measures through its middle.
import { html, useState } from '../lib/html.js';
import { Seam, SentChoice, Sewing, Trouble, TypedLine, Waiting } from '../lib/parts.js';
import { change, refresh, useDocument } from '../lib/book.js';
import { count, fine, long, size, unitText } from '../lib/amount.js';
import { useSystem } from '../lib/maker.js';
import { t } from '../text/text.js';
import { quiltApi as api } from './planfacts.js';

const send = (name, body) => change('POST', api(name, '/assembled'), body, { done: t('assemble.said') });
const say = (name, body) => send(name, body).catch(() => {}); // a fault is said

const words = (step, onPoint) => {
  const [from, to] = step.lines;
  if (step.kind === 'row') {
    const side = step.step.endsWith('-left') ? 'left' : step.step.endsWith('-right') ? 'right' : 'whole';
    return t('assemble.row', { n: from, side, onPoint, from: step.places[0], to: step.places[1] });
  }
  if (step.kind === 'quarter') return t('assemble.quarter', { from, to, side: step.step.endsWith('-left') ? 'left' : 'right' });
  if (step.kind === 'half') return t('assemble.half', { from, to });
  return step.step === 'middle' ? t('assemble.middle.seam') : t('assemble.join', { from, to, seam: step.seam, next: step.seam + 1, onPoint });
};

/** What a typed measure says of the row: the check of the document in words. */
function Verdict({ check, system }) {
  if (!check) return null;
  const off = fine(check.off_in, system);
  const seam = fine(check.seam_error_in, system);
  return html`<p role="status"><strong>${t(`assemble.check.${check.verdict}`, { off })}</strong>
    ${(check.verdict === 'seam' || check.verdict === 'trim') && seam && ` ${t('assemble.check.each', { seam, wide: check.seam_error_in > 0 })}`}</p>`;
}

function Measure({ name, step, system, onPoint }) {
  const id = `measured-${step.step}`;
  return html`<div class="measure">
    <label for=${id}>${t('assemble.measured', { planned: long(step.planned_in, system, { exact: true }) })}</label>
    <${TypedLine} id=${id} value=${step.measured_in ? unitText(step.measured_in) : ''}
      onSaid=${(measured) => say(name, { step: step.step, measured })} />
    <button class="plain" onClick=${() => say(name, { step: step.step, measured: unitText(step.planned_in) })}>${t('assemble.as.planned')}</button>
    ${onPoint && html`<p class="quiet">${t('assemble.without.triangles')}</p>`}
    <${Verdict} check=${step.check} system=${system} />
  </div>`;
}

/** Which blocks of a row are pressed in which other way: [[way, blocks]...]. */
const groups = (ways) => [...new Set(ways.map((one) => one.way))].map((way) => [way, ways.filter((one) => one.way === way).map((one) => one.block)]);

/** What nests in a step, and how its blocks are pressed for it. */
function Joints({ step }) {
  const places = step.open.map(([row, column]) => t('assemble.place', { row, column })).join('; ');
  return html`${step.joints > 0 && html`<p class="quiet">${step.nested === step.joints ? t(step.nested_usual === step.joints ? 'assemble.all.nest' : 'assemble.all.nest.pressed', { n: count(step.joints) })
      : t('assemble.nest', { n: count(step.nested), of: count(step.joints) })}${step.nested_usual < step.joints && ` ${t('assemble.nest.usual', { n: count(step.nested_usual) })}`}</p>`}
    ${step.ways?.length > 0 && html`<p class="quiet">${t('assemble.ways', { ways: groups(step.ways).map(([way, blocks]) => t('assemble.way', { way: t(`assemble.way.${way}`), blocks: blocks.map(count).join(', ') })).join('; ') })}</p>`}
    ${step.open.length > 0 && html`<details><summary>${t('assemble.open')}</summary><p>${places}${step.joints - step.nested_usual > step.open.length && ' …'}</p></details>`}`;
}

/** A step: all of it where she is now or has measured, else folded, for a quilt has many. */
function Step({ name, step, system, onPoint, now }) {
  const [open, setOpen] = useState(false);
  const row = step.kind === 'row';
  const full = now || open || step.measured_in;
  return html`<li class=${now ? 'now' : full ? '' : 'folded'}>
    <label class=${step.done ? 'tick ticked' : 'tick'}>
      <input type="checkbox" checked=${step.done} onChange=${(e) => say(name, { step: step.step, done: e.currentTarget.checked })} />
      <span class="grow">${words(step, onPoint)}</span></label>
    ${full ? html`${step.press && step.places[0] < step.places[1] && html`<p class="quiet">${t('assemble.press', { way: t(`assemble.press.${step.press}`) })}</p>`}
      <${Joints} step=${step} />
      ${row && html`<${Measure} name=${name} step=${step} system=${system} onPoint=${onPoint} />`}`
    : (row || step.joints > 0) && html`<button class="plain" onClick=${() => setOpen(true)}>${t('assemble.more')}<span class="unseen">: ${words(step, onPoint)}</span></button>`}
  </li>`;
}

/** Where the step lies in the quilt: its blocks shaded, what is sewn before it crossed. */
function Where({ step, quilt }) {
  const [cell, { across, down }] = [20, quilt];
  const [top, bottom] = step.lines;
  const [left, right] = step.places;
  const seam = step.kind === 'half' ? `M${step.seam * cell} ${(top - 1) * cell}V${bottom * cell}`
    : step.seam > 0 ? `M${(left - 1) * cell} ${step.seam * cell}H${right * cell}` : '';
  return html`<svg class="joined" viewBox=${`-2 -2 ${across * cell + 4} ${down * cell + 4}`} role="img" aria-label=${t('assemble.picture')}>
    <rect class="sewn-now" x=${(left - 1) * cell} y=${(top - 1) * cell} width=${(right - left + 1) * cell} height=${(bottom - top + 1) * cell} />
    ${Array.from({ length: down + 1 }, (_, i) => html`<path key=${`h${i}`} d=${`M0 ${i * cell}H${across * cell}`} />`)}
    ${Array.from({ length: across + 1 }, (_, i) => html`<path key=${`v${i}`} d=${`M${i * cell} 0V${down * cell}`} />`)}
    ${seam && html`<path class="joint" d=${seam} />`}
  </svg>`;
}

function Fit({ fit, system }) {
  if (!fit) return null;
  return html`<p role="status"><strong>${t(fit.together ? 'assemble.together' : 'assemble.apart', {
    n: fit.measured, from: long(fit.shortest_in, system, { exact: true }), to: long(fit.longest_in, system, { exact: true }) })}</strong></p>`;
}

function Borders({ name, middle, borders, system }) {
  const measured = middle.measured_in;
  const off = middle.off_in && Math.max(...middle.off_in.map(Math.abs));
  return html`<h2>${t('assemble.borders')}</h2>
    <p>${t('assemble.middle.says', { size: size(middle.planned_in, system) })}</p>
    <div class="setting"><label for="assemble-middle">${t('assemble.middle')}</label>
      <${TypedLine} id="assemble-middle" placeholder=${t('assemble.middle.such', { metric: system === 'metric' })}
        value=${measured ? measured.map(unitText).join(' x ') : ''} onSaid=${(middle) => say(name, { middle })} /></div>
    ${off > 0.5 && html`<p class="caution">${t('assemble.middle.off')}</p>`}
    ${borders.length === 0 ? html`<p class="quiet">${t('assemble.borders.none')}</p>` : html`<ol class="joining plain-list">${borders.map((one, i) => html`<li key=${one.step}>
      <label class=${one.done ? 'tick ticked' : 'tick'}><input type="checkbox" checked=${one.done} onChange=${(e) => say(name, { step: one.step, done: e.currentTarget.checked })} />
        <span class="grow">${t('assemble.border', { n: i + 1, width: long(one.width_in, system, { exact: true }), sides: long(one.sides_in, system, { exact: true }), ends: long(one.ends_in, system, { exact: true }), mitred: one.mitred })}</span></label></li>`)}</ol>
      <p class="quiet">${t(measured ? 'assemble.borders.pin' : 'assemble.borders.guess')}</p>`}`;
}

export function Assemble({ name, quilt }) {
  const system = useSystem();
  const { data, fault } = useDocument(api(name, '/assemble'));
  if (fault && !data) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`<${Waiting} />`;
  const all = [...data.steps, ...data.borders];
  const done = all.filter((one) => one.done).length;
  const now = data.steps.find((one) => !one.done);
  return html`<div class="narrow">
    <p class="caution">${t('assemble.caution')}</p>
    ${!data.on_point && quilt.across > 1 && quilt.down > 1 && html`<${SentChoice} name="assemble-by" legend=${t('assemble.by')} value=${data.by}
      options=${['rows', 'quarters'].map((value) => ({ value, words: t(`assemble.by.${value}`) }))} send=${(by) => send(name, { by })} />
      <p class="quiet">${t(`assemble.by.${data.by}.says`)}</p>`}
    <${Sewing} done=${all.length ? done / all.length : 1} label=${t('assemble.progress')} doing=${t('assemble.steps', { done: count(done), of: count(all.length) })} quiet />
    ${now && !data.on_point && html`<${Where} step=${now} quilt=${quilt} />`}
    <${Fit} fit=${data.fit} system=${system} />
    <ol class="joining plain-list">${data.steps.map((step) => html`<${Step} key=${step.step} name=${name} step=${step} system=${system} onPoint=${data.on_point} now=${step === now} />`)}</ol>
    <${Seam} /><${Borders} name=${name} middle=${data.middle} borders=${data.borders} system=${system} />
  </div>`;
}
