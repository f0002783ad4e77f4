// What she cuts with: rulers, mat, how edges are trued up and the pile is sorted, and
// which ruler would serve her best.
import { html, useState } from '../lib/html.js';
import { KeptLine } from '../lib/kept.js';
import { Stepper, Trouble } from '../lib/parts.js';
import { change, useDocument } from '../lib/book.js';
import { long, unit as unitWords, unitText } from '../lib/amount.js';
import { useDraft } from '../lib/draft.js';
import { rulerWords, useSystem } from '../lib/maker.js';
import { t } from '../text/text.js';

const pair = ([a, b]) => `${unitText(a)} x ${unitText(b)}`;

const sizeOf = ({ reach_in: reach, width_in: width, slots, pitch_in: pitch }, system) => t(
  slots > 0 ? 'tools.slotted' : 'tools.plain',
  { reach: long(reach, system), width: long(width, system), slots, pitch: pitch ? unitWords(pitch) : '' },
);

const Line = ({ id, ...more }) => html`<${KeptLine} id=${`tool-${id}`} words=${t(`tools.${id}`)} says=${t(`tools.${id}.says`)} ...${more} />`;

const kept = { done: t('settings.kept'), quiet: true };
const put = (field) => (value) => change('PUT', '/api/tools/cutting', { [field]: value }, kept);

const empty = { name: '', size: '', slots: 0, pitch: '' };

/** Its fields serve a ruler that she has and one that she thinks of. */
function NewRuler({ onThink }) {
  const [ruler, setRuler] = useDraft('ruler', empty);
  const [fault, setFault] = useState(null);
  const set = (field) => (e) => setRuler({ ...ruler, [field]: e.currentTarget.value });
  const ready = ruler.size.trim() !== '' && (ruler.slots === 0 || ruler.pitch.trim() !== '');
  const name = ruler.name.trim() || t('tools.new');
  const keep = async (event) => {
    event.preventDefault();
    const body = { size: ruler.size };
    if (ruler.slots > 0) Object.assign(body, { slots: ruler.slots, pitch: ruler.pitch });
    try {
      await change('PUT', `/api/tools/rulers/${encodeURIComponent(name)}`, body, { done: t('tools.ruler.kept', { name }), quiet: true });
      setFault(null);
      setRuler(undefined);
    } catch (trouble) {
      setFault(trouble);
    }
  };
  return html`<details class="by-hand"><summary>${t('tools.ruler.add')}</summary>
    <form onSubmit=${keep}>
      <div class="fields">
        <label class="field">${t('tools.name')}<input type="text" maxlength="40" autocomplete="off" value=${ruler.name} onInput=${set('name')} /></label>
        <label class="field">${t('tools.size')}<input type="text" autocomplete="off" placeholder=${t('tools.size.such')} value=${ruler.size} onInput=${set('size')} /></label>
      </div>
      <div class="field"><span aria-hidden="true">${t('tools.slots')}</span>
        <${Stepper} label=${t('tools.slots')} value=${ruler.slots} max=${1000} onChange=${(slots) => setRuler({ ...ruler, slots })} /></div>
      ${ruler.slots > 0 && html`<label class="field">${t('tools.pitch')}
        <input type="text" class="short" autocomplete="off" placeholder="1/2 in" value=${ruler.pitch} onInput=${set('pitch')} /></label>`}
      ${fault && html`<${Trouble} fault=${fault} />`}
      <div class="row">
        <button class="button" disabled=${!ready}>${t('tools.keep')}</button>
        <button type="button" class="plain" disabled=${!ready} onClick=${() => onThink(
          `${name}:${ruler.size}${ruler.slots > 0 ? `:${ruler.slots}:${ruler.pitch}` : ''}`,
        )}>${t('tools.think')}</button>
      </div>
    </form>
  </details>`;
}

/** "11 squares in 2 passes, or 13 in 6". */
function Comparison({ thought }) {
  const { data, fault } = useDocument(`/api/rulers${thought ? `?rulers=${encodeURIComponent(thought)}` : ''}`);
  if (fault) return html`<${Trouble} fault=${fault} />`;
  if (!data) return null;
  if (data.scraps === 0) return html`<p class="quiet">${t('rulers.none')}</p>`;
  const fastest = Math.min(...data.rulers.filter((one) => !one.cannot).map((one) => one.easiest.minutes));
  return html`<p class="quiet">${t('rulers.says', { n: data.scraps, unit: unitWords(data.unit_in) })}</p>
    <ul class="rulers plain-list">${data.rulers.map((one) => html`<li key=${one.ruler}>
      <strong>${rulerWords(one.ruler)}</strong>
      ${one.cannot
        ? html`<p class="says">${one.cannot}</p>`
        : html`<p class="says">${t('rulers.line', one)}</p>
          ${one.easiest.passes !== one.passes && html`<p class="says">${t('rulers.or', one.easiest)}</p>`}
          ${data.rulers.length > 1 && one.easiest.minutes === fastest && html`<p class="says quiet">${t('rulers.fastest')}</p>`}`}
    </li>`)}</ul>`;
}

export function Tools() {
  const system = useSystem();
  const { data, fault } = useDocument('/api/tools');
  const [compare, setCompare] = useState(false);
  const [thought, setThought] = useState('');
  const [trouble, setTrouble] = useState(null);
  if (fault) return html`<${Trouble} fault=${fault} />`;
  if (!data) return null;
  const { rulers, mat, times, cutting } = data;
  return html`<h2>${t('tools')}</h2>
    <ul class="rulers plain-list">${rulers.map((one) => html`<li key=${one.ruler} class="row">
      <span class="grow"><strong>${rulerWords(one.ruler)}</strong> <span class="quiet">${sizeOf(one, system)}</span></span>
      <button class="plain stop" aria-label=${t('tools.forget.one', { name: rulerWords(one.ruler) })} onClick=${() => {
        change('DELETE', `/api/tools/rulers/${encodeURIComponent(one.ruler)}`, undefined, { done: t('tools.forgot', { name: rulerWords(one.ruler) }), quiet: true }).then(() => setTrouble(null), setTrouble);
      }}>${t('tools.forget')}</button>
    </li>`)}</ul>
    ${trouble && html`<${Trouble} fault=${trouble} />`}
    <${NewRuler} onThink=${(text) => { setThought(text); setCompare(true); }} />
    <button class="button" aria-expanded=${compare ? 'true' : 'false'} onClick=${() => setCompare(!compare)}>${t('rulers.compare')}</button>
    ${compare && html`<${Comparison} thought=${thought} />`}
    <${Line} id="mat" value=${pair([mat.width_in, mat.height_in])}
      send=${(size) => change('PUT', '/api/tools/mat', { size, turns: mat.turns }, kept)} />
    <label class="tick"><input type="checkbox" checked=${mat.turns} onChange=${(e) => {
      change('PUT', '/api/tools/mat', { size: pair([mat.width_in, mat.height_in]), turns: e.currentTarget.checked }, { done: t('settings.kept') }).catch(() => {});
    }} /> ${t('tools.turns')}</label>
    <p>${t(times.piles > 0 ? 'times.hers' : 'times.usual', times)}</p>
    <details><summary>${t('tools.edges')}</summary>
      <${Line} id="tolerance" value=${String(cutting.tolerance_deg)} send=${put('tolerance')} />
      <${Line} id="trim" value=${unitText(cutting.trim_in)} send=${put('trim')} />
      <${Line} id="selvage" value=${unitText(cutting.selvage_in)} send=${put('selvage')} />
    </details>
    <details><summary>${t('tools.sorting')}</summary>
      <${Line} id="whole" value=${pair(cutting.whole_in)} send=${put('whole')} />
      <${Line} id="least" value=${String(cutting.least_squares)} send=${put('least_squares')} />
      <${Line} id="string" value=${pair(cutting.string_in)} send=${put('string')} />
    </details>`;
}
