// What to buy: every cloth with its strips, what is bought so far, and which fabric.
import { html, useState } from '../lib/html.js';
import { Cloth, Picture, Seam, Trouble, TypedLine, Waiting } from '../lib/parts.js';
import { change, refresh, useDocument } from '../lib/book.js';
import { taps } from '../lib/taps.js';
import { count, long, size, unit as unitWords, unitText } from '../lib/amount.js';
import { useSystem } from '../lib/maker.js';
import { has, t } from '../text/text.js';
import { Backgrounds } from './background.js';
import { PlanFacts, bought, itemWords, quiltApi as api, wishes, wishesOf } from './planfacts.js';

const say = (name, body) => change('POST', api(name, '/bought'), body, {
  done: t('buy.noted', { item: itemWords(body.item) }), keep: true,
}).catch(() => {});

/** Hook: whether a line is ticked, also by a tap that waits on this device. */
function useTicked(name, item, said) {
  const path = api(name, '/bought');
  const mine = taps.use().filter((one) => one.path === path && !one.fault && one.body.item === item && 'ticked' in one.body);
  return mine.length > 0 ? mine.at(-1).body.ticked : Boolean(said);
}

const pieces = (cut, system) => (cut.into ?? []).map((one) => t('buy.into', { n: count(one.count), size: size([one.width_in, one.length_in], system, { exact: true }) })).join(', ');

/** "border 2" and the like in her language. */
const pieceWords = (piece) => {
  const [, what, n] = /^(.*?)(?: (\d))?$/.exec(piece);
  const key = `part.${what.replaceAll(' ', '-')}`;
  return has(key) ? `${t(key)}${n ? ` ${n}` : ''}` : piece;
};

const ways = ['two', 'trimmed', 'eight', 'corner'];

/** Width, shrinkage, a share to spare, a sleeve, the binding, and how triangles are made. */
function YourCloth({ name, triangles, fault }) {
  const all = wishes.use();
  const [open, setOpen] = useState(false);
  const mine = all[name] ?? {};
  const set = (field, value) => wishes.set((now) => ({ ...now, [name]: { ...now[name], [field]: value } }));
  const text = (field, more) => html`<label class="field">${t(`cloth.${field}`)}<${TypedLine} class="short" value=${mine[field]}
    placeholder=${t(`cloth.${field}.such`)} onSaid=${(said) => set(field, said)} ...${more} /></label>`;
  return html`<details class="your-cloth" open=${open || Boolean(fault)} onToggle=${(e) => setOpen(e.currentTarget.open)}><summary>${t('cloth.title')}</summary>
    <p class="quiet">${t('cloth.says')}</p>
    <div class="fields">
      ${text('width_of_fabric')}${text('selvage')}${text('shrink', { inputmode: 'decimal' })}${text('spare', { inputmode: 'decimal' })}${text('sleeve')}
      ${triangles && html`<label class="field">${t('cloth.triangles')}<select value=${mine.triangles ?? ''} onChange=${(e) => set('triangles', e.currentTarget.value)}>
        <option value="">${t('cloth.triangles.usual')}</option>${ways.map((way) => html`<option key=${way} value=${way}>${t(`cloth.triangles.${way}`)}</option>`)}</select></label>`}
      <label class="tick"><input type="checkbox" checked=${mine.bias === '1'} onChange=${(e) => set('bias', e.currentTarget.checked ? '1' : '')} /><span>${t('cloth.bias')}</span></label>
      <label class="tick"><input type="checkbox" checked=${mine.ends === '1'} onChange=${(e) => set('ends', e.currentTarget.checked ? '1' : '')} /><span>${t('cloth.ends')}</span></label>
    </div>
  </details>`;
}

/** "Bought so far", and what is left to buy. */
function SoFar({ name, item }) {
  const system = useSystem();
  const so = item.bought;
  if (!so) return null;
  return html`<div class="so-far">
    <label class="field">${t('buy.sofar')}<${TypedLine} class="short" value=${so.length_in > 0 ? unitText(so.length_in) : ''}
      placeholder=${t('buy.such', { metric: system === 'metric' })}
      onSaid=${(said) => say(name, { item: item.for, length: said || '0' })} /></label>
    ${so.length_in > 0 && html`<p>${so.left_in > 0 ? t('buy.left', { amount: system === 'metric' ? so.left_metric_text : so.left_text }) : t('buy.all')}</p>`}
  </div>`;
}

/** The fabric for a role: any of hers. */
function Chosen({ name, item, fabrics }) {
  if (!has(`role.${item.for}`) || fabrics.length === 0) return null;
  const choose = (fabric) => change('POST', api(name, '/fabric'), { role: item.for, ...(fabric ? { fabric: Number(fabric) } : {}) }, {
    done: t('buy.chosen', { item: itemWords(item.for) }),
  }).catch(() => {});
  return html`<div class="row chosen">${item.fabric && html`<${Cloth} fabric=${item.fabric} label=${item.fabric.name} />`}
    <label class="field">${t('buy.fabric', { item: itemWords(item.for) })}
      <select value=${item.fabric?.fabric ?? ''} onChange=${(e) => choose(e.currentTarget.value)}>
        <option value="">${t('buy.fabric.none')}</option>
        ${fabrics.map((one) => html`<option key=${one.fabric} value=${one.fabric}>${one.name}</option>`)}
      </select></label></div>`;
}

function Item({ name, item, notes, fabrics }) {
  const system = useSystem();
  const ticked = useTicked(name, item.for, item.bought?.ticked);
  return html`<li>
    <label class=${ticked ? 'tick ticked' : 'tick'}>
      <input type="checkbox" checked=${ticked} onChange=${(e) => say(name, { item: item.for, ticked: e.currentTarget.checked })} />
      <span class="grow">${itemWords(item.for)}</span><strong class="middling">${bought(item, system)}</strong>
    </label>
    <p class="quiet">${t('buy.width', { width: long(item.cloth_width_in, system) })}</p>
    ${notes.map((note) => html`<p key=${note.code} class="caution">${has(`note.${note.code}`) ? t(`note.${note.code}`, { item: itemWords(note.item) }) : note.message}</p>`)}
    <div class="buy-more"><${Chosen} name=${name} item=${item} fabrics=${fabrics} />
    <${SoFar} name=${name} item=${item} />
    <details class="cutting"><summary>${t('buy.how', { item: itemWords(item.for) })}</summary>
      <ul class="cuts">${(item.cuts ?? []).map((cut, i) => html`<li key=${i}>
        ${cut.count > 0 ? t('buy.cut', { n: cut.count, piece: pieceWords(cut.piece), size: size([cut.width_in, cut.length_in], system, { exact: true }), into: cut.joined ? '' : pieces(cut, system) })
          : t('buy.from', { pieces: pieces(cut, system), piece: pieceWords(cut.piece) })}
      </li>`)}</ul>
      ${(item.cuts ?? []).length > 0 && html`<${Picture} class="cloth-drawing" src=${api(name, `/cloth.svg?${new URLSearchParams({ ...wishesOf(name, wishes.value), item: item.for })}`)} alt=${t('buy.drawing', { item: itemWords(item.for) })} width="672" height="200" />`}
    </details></div>
  </li>`;
}

export function Buying({ name, quilt }) {
  const asked = new URLSearchParams(wishesOf(name, wishes.use())).toString();
  const { data: now, last, fault } = useDocument(api(name, `/buy${asked && `?${asked}`}`));
  const { data: all } = useDocument('/api/fabrics?limit=1000');
  const { data: basket } = useDocument('/api/sources');
  const cloth = html`<${YourCloth} name=${name} fault=${fault} triangles=${(quilt.triangles ?? []).length > 0} />`;
  const data = now ?? last; // while another list is on its way
  return html`${cloth}${fault ? html`<${Trouble} fault=${fault} again=${refresh} />`
    : !data ? html`<${Waiting} />` : html`<${Lists} name=${name} quilt=${quilt} data=${data} all=${all} basket=${basket} />`}`;
}

function Lists({ name, quilt, data, all, basket }) {
  const system = useSystem();
  const fabrics = (all?.fabrics ?? []).filter((one) => one.fabric);
  const { batting } = data;
  const ticked = useTicked(name, 'batting', batting?.ticked);
  return html`<ul class="buy plain-list">
    ${(data.items ?? []).map((item) => html`<${Item} key=${item.for} name=${name} item=${item} fabrics=${fabrics}
      notes=${(data.notes ?? []).filter((note) => note.item === item.for)} />`)}
    ${batting && html`<li><label class=${ticked ? 'tick ticked' : 'tick'}>
      <input type="checkbox" checked=${ticked} onChange=${(e) => say(name, { item: 'batting', ticked: e.currentTarget.checked })} />
      <span class="grow">${t('item.batting')}</span><strong class="middling">${size(batting.size_in, system)}</strong></label>
      ${batting.packaged && html`<p class="quiet">${t('buy.packaged', { name: batting.packaged })}</p>`}</li>`}
    ${data.binding && html`<li><p>${t('buy.binding', { n: data.binding.strips, length: long(data.binding.length_in, system) })}</p></li>`}
    ${(data.scraps ?? []).length > 0 && html`<li><h2>${t('buy.scraps')}</h2><ul>${data.scraps.map((one, i) => html`<li key=${i}>
      ${t('buy.scrap', { n: count(one.count), role: t(`role.${one.role}`), size: unitWords(one.cut_in), piece: pieceWords(one.piece) })}</li>`)}</ul></li>`}
  </ul>
  <${Backgrounds} />
  <p class="caution">${t('caution.cutter')}</p>
  <${Seam} />
  <${PlanFacts} plan=${quilt} basket=${basket} />`;
}
