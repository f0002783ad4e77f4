// How large: by blocks, by a wished size, or to cover a bed; sashes, borders, even edges.
import { html, useState } from '../lib/html.js';
import { Choice, Picture, Seam, Stepper, Trouble, TypedLine, useSettled } from '../lib/parts.js';
import { change, useDocument } from '../lib/book.js';
import { size, unitText } from '../lib/amount.js';
import { keptCell } from '../lib/cell.js';
import { go, to } from '../lib/route.js';
import { useSystem } from '../lib/maker.js';
import { has, t } from '../text/text.js';
import { Step, useAbout } from './designs.js';
import { PlanFacts } from './planfacts.js';

// What she has chosen so far; a look at the basket in between loses nothing.
const draft = keptCell('start', { across: 12, down: 16, name: '' });
const fresh = { how: 'blocks', size: '', cover: 'bed:queen:us', width: '', length: '', drop: '', tuck: '', even: false, set: '', sash: '', cornerstones: false, borders: [] };
const roles = ['background', 'accent', 'light', 'dark', 'scrap'];

/** The plan that she asks for, as the program takes it; null while something is missing. */
export function wanted(design, chosen, unit) {
  const asked = { design, ...(unit ? { unit } : {}) };
  if (chosen.how === 'blocks') Object.assign(asked, { across: chosen.across, down: chosen.down });
  if (chosen.how === 'size') {
    if (!chosen.size) return null;
    asked.size = chosen.size;
  }
  if (chosen.how === 'bed') {
    if (chosen.cover === 'measure' && !(chosen.width && chosen.length)) return null;
    asked.cover = chosen.cover === 'measure' ? `bed:${chosen.width} x ${chosen.length}` : chosen.cover;
    if (chosen.drop) asked.drop = chosen.drop;
    if (chosen.tuck) asked.tuck = chosen.tuck;
  }
  if (chosen.even) asked.even = true;
  if (chosen.set) asked.set = chosen.set;
  if (chosen.sash) Object.assign(asked, { sash: chosen.sash, ...(chosen.cornerstones ? { cornerstones: true } : {}) });
  const borders = chosen.borders.filter((one) => one.width);
  if (borders.length > 0) asked.border = borders.map((one) => `${one.width} ${one.role}${one.mitred ? ' mitred' : ''}`);
  return asked;
}

export const asQuery = (asked) => {
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(asked)) for (const one of [value].flat()) query.append(name, one);
  return query.toString();
};

const Length = ({ label, value, onChange, placeholder }) => html`<label class="field">${label}
  <${TypedLine} class="short" value=${value} placeholder=${placeholder} onSaid=${onChange} /></label>`;

function Bed({ chosen, set }) {
  const system = useSystem();
  const { data } = useDocument('/api/beds');
  const beds = data?.beds ?? [];
  const own = beds.find((one) => one.cover === 'bed:own');
  const countries = [...new Set(beds.map((one) => one.country).filter(Boolean))];
  return html`<div class="fields">
    <label class="field">${t('size.bed')}
      <select value=${chosen.cover} onChange=${(e) => set({ cover: e.currentTarget.value })}>
        ${own && html`<option value="bed:own">${t('size.bed.own', { size: size(own.mattress_in, system) })}</option>`}
        <option value="measure">${t('size.bed.measure')}</option>
        ${countries.map((country) => html`<optgroup key=${country} label=${has(`country.${country}`) ? t(`country.${country}`) : country}>
          ${beds.filter((one) => one.country === country).map((one) => html`<option key=${one.cover} value=${one.cover}>${one.name}, ${size(one.mattress_in, system)}</option>`)}
        </optgroup>`)}
      </select></label>
    ${chosen.cover === 'measure' && html`<${Length} label=${t('size.bed.width')} value=${chosen.width} onChange=${(width) => set({ width })} />
      <${Length} label=${t('size.bed.length')} value=${chosen.length} onChange=${(length) => set({ length })} />`}
    <${Length} label=${t('size.drop')} value=${chosen.drop} placeholder=${system === 'metric' ? '30 cm' : '12 in'} onChange=${(drop) => set({ drop })} />
    <${Length} label=${t('size.tuck')} value=${chosen.tuck} placeholder="0" onChange=${(tuck) => set({ tuck })} />
  </div>
  <p class="quiet">${t('size.bed.says')}</p>`;
}

function Wish({ chosen, set }) {
  const system = useSystem();
  const { data } = useDocument('/api/beds');
  const words = (one) => one.size_in.map(unitText).join(' x ');
  return html`<${Length} label=${t('size.wish')} value=${chosen.size} placeholder=${system === 'metric' ? '150 x 200 cm' : '60 x 72 in'} onChange=${(it) => set({ size: it })} />
    <div class="chips">${(data?.sizes ?? []).map((one) => html`<button type="button" key=${one.name} class="button" onClick=${() => set({ size: words(one) })}>
      ${has(`usual.${one.name}`) ? t(`usual.${one.name}`) : one.name}, ${size(one.size_in, system)}</button>`)}</div>`;
}

function Borders({ chosen, set }) {
  const usual = useSystem() === 'metric' ? '8 cm' : '3 in';
  const put = (i, more) => set({ borders: chosen.borders.map((one, k) => (k === i ? { ...one, ...more } : one)) });
  return html`<ol class="borders plain-list">${chosen.borders.map((border, i) => html`<li key=${i} class="row">
    <${Length} label=${t('size.border.n', { n: i + 1 })} value=${border.width} placeholder=${usual} onChange=${(width) => put(i, { width })} />
    <label class="field">${t('size.role')}<select value=${border.role} onChange=${(e) => put(i, { role: e.currentTarget.value })}>
      ${roles.map((role) => html`<option key=${role} value=${role}>${t(`role.${role}`)}</option>`)}</select></label>
    <label class="tick"><input type="checkbox" checked=${border.mitred} onChange=${(e) => put(i, { mitred: e.currentTarget.checked })} />${t('size.mitred')}</label>
    <button type="button" class="plain" onClick=${() => set({ borders: chosen.borders.filter((_, k) => k !== i) })}>${t('size.border.drop', { n: i + 1 })}</button>
  </li>`)}</ol>
  ${chosen.borders.length < 4 && html`<button type="button" class="button" onClick=${() => set({ borders: [...chosen.borders, { width: usual, role: 'background', mitred: false }] })}>${t('size.border.add')}</button>`}`;
}

/** What whole repeats give below and above the size that she asked for. */
function Nearest({ nearest, set }) {
  const system = useSystem();
  if (!nearest) return null;
  const { across, down } = nearest;
  if (across.below === across.above && down.below === down.above) return null;
  const choices = ['below', 'above'].filter((way) => across[way] > 0 && down[way] > 0);
  return html`<div class="nearest"><p>${t('size.nearest', { size: size(nearest.wanted_in, system) })}</p>
    <div class="row">${choices.map((way) => html`<button type="button" key=${way} class="button" onClick=${() => set({ how: 'blocks', across: across[way], down: down[way] })}>
      ${size([across[`${way}_in`], down[`${way}_in`]], system)} <span class="quiet">${t('size.blocks', { across: across[way], down: down[way] })}</span></button>`)}</div></div>`;
}

/** What it has become so far: beside each step where there is one column, for the picture on
 *  top is out of view by then; its size where `plan` is given. */
function Result({ src, plan }) {
  const system = useSystem();
  return html`<div class="result"><${Picture} src=${src} first width="320" height="320" />
    ${plan && html`<p class="middling">${size(plan.finished_in, system)} ${t('plan.finished')}</p>`}</div>`;
}

export function Plan({ design }) {
  const chosen = { ...fresh, ...draft.use() };
  const { data: about } = useDocument(`/api/designs/${encodeURIComponent(design)}`);
  const { data: book } = useDocument('/api/book');
  const { data: basket } = useDocument('/api/sources');
  const [fault, setFault] = useState(null);
  const [unit, setUnit] = useState(null);
  const [busy, setBusy] = useState(false);
  const set = (more) => draft.set({ ...chosen, ...more });
  const asked = wanted(design, chosen, unit ?? (book ? unitText(book.unit_in) : ''));
  const query = useSettled(asked ? asQuery(asked) : '');
  const plan = useDocument(book && query ? `/api/plan?${query}` : null);
  const buy = useDocument(book && query ? `/api/buy?${query}` : null);
  const shown = asked && (plan.data ?? plan.last);
  const aboutOf = useAbout();
  const name = about?.name ?? design;
  const start = async (event) => {
    event.preventDefault();
    if (busy || !asked) return;
    setBusy(true);
    setFault(null);
    const quilt = chosen.name.trim() || name;
    try {
      await change('POST', '/api/quilts', { quilt, ...asked }, { done: t('start.done', { quilt }), quiet: true });
      draft.set({ ...chosen, name: '' });
      go('quilts', quilt);
    } catch (trouble) {
      setFault(trouble);
      setBusy(false);
    }
  };
  const check = (key, on, words) => html`<label class="tick"><input type="checkbox" checked=${on} onChange=${(e) => set({ [key]: e.currentTarget.checked })} /><span>${words}</span></label>`;
  const src = shown && !plan.fault && query ? `/api/plan/picture.svg?${query}` : `/api/designs/${encodeURIComponent(design)}/picture.svg`;
  return html`<form class="two starting" onSubmit=${start}>
    <div>
      <${Picture} class="design-picture" src=${src} alt=${t('design.picture', { name })} width="320" height="320" />
      <div><p><strong>${name}</strong>${about?.about && html`<span class="quiet about">${aboutOf(about)}</span>`} <a href=${to('quilts', 'start')}>${t('start.another')}</a></p>
        <p><a href=${to('quilts', 'start', '*draw', design)}>${t(about?.own ? 'draw.change' : 'draw.like')}</a></p></div>
    </div>
    <div>
      <${Step} n=${2} title=${t('size.title')} />
      <${Choice} name="how" legend=${t('size.how')} quiet value=${chosen.how} onChange=${(how) => set({ how })}
        options=${['blocks', 'size', 'bed'].map((value) => ({ value, words: t(`size.how.${value}`) }))} />
      ${chosen.how === 'blocks' && html`<div class="row">
        <div class="field"><span aria-hidden="true">${t('start.across')}</span>
          <${Stepper} label=${t('start.across')} value=${chosen.across} min=${1} max=${200} onChange=${(across) => set({ across })} /></div>
        <div class="field"><span aria-hidden="true">${t('start.down')}</span>
          <${Stepper} label=${t('start.down')} value=${chosen.down} min=${1} max=${200} onChange=${(down) => set({ down })} /></div>
      </div>`}
      ${chosen.how === 'size' && html`<${Wish} chosen=${chosen} set=${set} />`}
      ${chosen.how === 'bed' && html`<${Bed} chosen=${chosen} set=${set} />`}
      ${!plan.fault && html`<${Nearest} nearest=${chosen.how !== 'blocks' && shown?.nearest} set=${set} />`}
      <${Length} label=${t('unit')} value=${unit ?? (book ? unitText(book.unit_in) : '')} onChange=${setUnit} />
      <${Seam} />
      <${Step} n=${3} title=${t('size.more')} />
      ${plan.fault ? html`<${Trouble} fault=${plan.fault} />` : shown && html`<${Result} src=${src} plan=${shown} />`}
      <${Length} label=${t('size.sash')} value=${chosen.sash} placeholder=${t('size.sash.none')} onChange=${(sash) => set({ sash })} />
      <${Choice} name="set" legend=${t('size.set')} value=${chosen.set} onChange=${(it) => set({ set: it })}
        options=${['', 'straight', 'on-point'].map((value) => ({ value, words: t(`size.set.${value || 'own'}`) }))} />
      ${chosen.sash && check('cornerstones', chosen.cornerstones, t('size.cornerstones'))}
      ${check('even', chosen.even, t('size.even'))}
      <${Borders} chosen=${chosen} set=${set} />
      <${Seam} />
      <${Step} n=${4} title=${t('start.takes')} />
      ${shown && !plan.fault && html`<${Result} src=${src} /><${PlanFacts} plan=${shown} buy=${buy.data ?? buy.last} basket=${basket} />`}
      <label class="field">${t('start.name')}
        <input type="text" maxlength="60" value=${chosen.name} autocomplete="off"
          onInput=${(e) => set({ name: e.currentTarget.value })} /></label>
      ${fault && html`<${Trouble} fault=${fault} />`}
      <div class="thumb"><button class="button main" disabled=${busy || !asked || Boolean(plan.fault)}>${t('start.do')}</button></div>
    </div>
  </form>`;
}
