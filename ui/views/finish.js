// Finish: backing, batting, binding and sleeve for the quilt as it measures; how close to
// quilt it; the steps from top to label.
import { html } from '../lib/html.js';
import { Seam, Sewing, Trouble, TypedLine, Waiting } from '../lib/parts.js';
import { change, refresh, useDocument } from '../lib/book.js';
import { count, long, metres, mixed, size, unitText } from '../lib/amount.js';
import { useSystem } from '../lib/maker.js';
import { has, t } from '../text/text.js';
import { quiltApi as api } from './planfacts.js';

const say = (name, body) => change('POST', api(name, '/finishing'), body, { done: t('finish.said') }).catch(() => {});

const bought = (item, system) => (system === 'metric' ? t('buy.m', { n: metres(item.buy_m) }) : t('buy.yd', { n: mixed(item.buy_yd) }));

function Field({ name, field, value, such }) {
  return html`<div class="setting"><label for=${`finish-${field}`}>${t(`finish.${field}`)}</label>
    <${TypedLine} id=${`finish-${field}`} placeholder=${such} value=${value}
      onSaid=${(said) => say(name, { [field]: said || (field === 'sleeve' ? '0' : '') })} />
    ${has(`finish.${field}.says`) && html`<p class="quiet">${t(`finish.${field}.says`)}</p>`}</div>`;
}

/** The backing laid flat, its seams drawn and the quilt upon it. */
function Backing({ backing, top }) {
  const [width, height] = backing.size_in;
  const lines = Array.from({ length: Math.max(0, backing.panels - 1) }, (_, i) => (i + 1) / backing.panels);
  return html`<svg class="backing-flat" viewBox=${`-1 -1 ${width + 2} ${height + 2}`} role="img" aria-label=${t('finish.picture')}>
    <rect class="all-told" width=${width} height=${height} />
    ${lines.map((part) => html`<path key=${part} class="joint" d=${backing.seams === 'along' ? `M${part * width} 0V${height}` : `M0 ${part * height}H${width}`} />`)}
    <rect class="laid" x=${(width - top[0]) / 2} y=${(height - top[1]) / 2} width=${top[0]} height=${top[1]} />
  </svg>`;
}

function Cloth({ data, system }) {
  const { backing, batting, binding, sleeve } = data;
  return html`<dl class="facts">
    <dt>${t('finish.backing')}</dt><dd><strong>${bought(backing, system)}</strong>, ${t('finish.panels', { n: backing.panels, length: long(backing.panel_length_in, system), seams: backing.seams })}
      <br /><span class="quiet">${t('finish.backing.size', { size: size(backing.size_in, system), width: long(backing.cloth_width_in, system) })}</span></dd>
    <dt>${t('finish.batting')}</dt><dd><strong>${size(batting.size_in, system)}</strong>${batting.packaged ? `, ${t('finish.packaged', { name: batting.packaged, size: size(batting.packaged_in, system) })}` : ''}</dd>
    <dt>${t('finish.binding')}</dt><dd><strong>${bought(binding, system)}</strong>, ${t('finish.strips', { n: binding.strips, width: long(binding.width_in, system, { exact: true }), length: long(binding.length_in, system) })}</dd>
    ${sleeve && html`<dt>${t('finish.sleeve.cut')}</dt><dd><strong>${t('finish.sleeve.pieces', { n: sleeve.count, size: size(sleeve.cut_in, system, { exact: true }) })}</strong></dd>`}
    <dt>${t('finish.basting')}</dt><dd>${t('finish.pins', { n: count(data.basting.pins), apart: long(data.basting.apart_in, system) })}</dd>
  </dl>
  <${Backing} backing=${backing} top=${data.size_in} />`;
}

function Quilting({ name, quilting, system }) {
  const { limit_in: limit, spacing_in: spacing, within, lines } = quilting;
  return html`<h2>${t('finish.quilting')}</h2>
    <${Field} name=${name} field="limit" value=${limit ? unitText(limit) : ''} such=${t('finish.limit.such', { metric: system === 'metric' })} />
    <${Field} name=${name} field="spacing" value=${spacing ? unitText(spacing) : ''} such="" />
    <div role="status">${within === false && html`<p class="caution"><strong>${t('finish.too.far', { spacing: long(spacing, system, { exact: true }), limit: long(limit, system, { exact: true }) })}</strong></p>`}
      ${within && html`<p><strong>${t('finish.near')}</strong></p>`}
      ${lines && html`<p class="quiet">${t('finish.lines', { across: count(lines[0]), down: count(lines[1]) })}</p>`}</div>`;
}

export function Finish({ name }) {
  const system = useSystem();
  const { data, fault } = useDocument(api(name, '/finish'));
  if (fault && !data) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`<${Waiting} />`;
  const done = data.steps.filter((one) => one.done).length;
  return html`<div class="narrow">
    ${data.notes.map((note) => html`<p key=${note.code} class="caution">${has(`note.${note.code}`) ? t(`note.${note.code}`) : note.message}</p>`)}
    <p class="large">${size(data.size_in, system)}</p>
    <p class="quiet">${t(data.measured ? 'finish.measured' : 'finish.planned')}</p>
    <${Field} name=${name} field="top" value=${data.measured ? data.size_in.map(unitText).join(' x ') : ''} such=${data.planned_in.map(unitText).join(' x ')} />
    <${Cloth} data=${data} system=${system} />
    <${Field} name=${name} field="sleeve" value=${data.sleeve ? unitText(data.sleeve.finished_in) : ''} such=${t('finish.sleeve.such', { metric: system === 'metric' })} />
    <${Seam} /><${Quilting} name=${name} quilting=${data.quilting} system=${system} />
    <${Seam} /><h2>${t('finish.steps')}</h2>
    <${Sewing} done=${done / data.steps.length} label=${t('finish.steps')} doing=${t('assemble.steps', { done: count(done), of: count(data.steps.length) })} quiet />
    <ol class="joining plain-list">${data.steps.map((one) => html`<li key=${one.step}>
      <label class=${one.done ? 'tick ticked' : 'tick'}><input type="checkbox" checked=${one.done} onChange=${(e) => say(name, { step: one.step, done: e.currentTarget.checked })} />
        <span class="grow">${t(`finish.step.${one.step}`)}</span></label>
      <p class="quiet">${t(`finish.step.${one.step}.says`, { seam: long(0.5, system) })}</p></li>`)}</ol>
  </div>`;
}
