// What a photo leaves open, asked in pictures with one tap. All of it can wait for ever.
import { html, useState } from '../lib/html.js';
import { Cloth } from '../lib/parts.js';
import { ScrapPicture } from '../lib/plan.js';
import { change } from '../lib/book.js';
import { cell } from '../lib/cell.js';
import { to } from '../lib/route.js';
import { translated, t } from '../text/text.js';

const shown = 4; // pictures of one question

/** Questions that she put off, until the page is loaded again. */
const waiting = cell(new Set());
const keyOf = (question) => `${question.kind} ${question.photo} ${question.remark ?? ''} ${question.scraps.join(' ')}`;
const putOff = (question) => waiting.set((all) => new Set([...all, keyOf(question)]));

const post = (path, body, done) => change('POST', path, body, { done }).catch(() => {});

const Pieces = ({ document, scraps }) => html`<div class="asked-pieces">
  ${scraps.slice(0, shown).map((scrap) => html`<${ScrapPicture} key=${scrap.id} plan=${document.plan} scrap=${scrap}
    label=${t('scrap.title', { n: scrap.number })} />`)}
  ${scraps.length > shown && html`<span class="quiet">${t('asked.more', { n: scraps.length - shown })}</span>`}
</div>`;

/** "This one, that one, a new fabric, later." */
function WhichFabric({ question, document, scraps }) {
  const [busy, setBusy] = useState(false);
  const answer = (fabric, name) => {
    setBusy(true);
    post('/api/scraps/same', { scraps: question.scraps, fabric }, t('asked.said', { n: scraps.length, name })).finally(() => setBusy(false));
  };
  return html`<${Pieces} document=${document} scraps=${scraps} />
    <p>${t('asked.fabric', { n: scraps.length })}</p>
    <div class="alike">${question.likely.map((one) => html`<button key=${one.fabric} disabled=${busy} onClick=${() => answer(String(one.fabric), one.name)}>
        <${Cloth} fabric=${one} /><span>${one.name || t('fabric.some')}</span></button>`)}
      <button disabled=${busy} onClick=${() => answer('new', t('asked.new'))}>
        <${Cloth} fabric=${{ srgb: question.srgb }} /><span>${t('asked.new')}</span></button>
    </div>`;
}

function Again({ question, document, scraps: [scrap] }) {
  const path = `/api/scraps/${encodeURIComponent(scrap.id)}/again`;
  return html`<${Pieces} document=${document} scraps=${[scrap]} />
    <p>${t('asked.again', { n: scrap.number, other: question.other.number })}</p>
    <div class="row">
      <button class="button" onClick=${() => post(path, { of: question.other.scrap }, t('asked.again.yes.done', { n: scrap.number }))}>${t('asked.again.yes')}</button>
      <button class="button" onClick=${() => post(path, { of: null }, t('asked.again.no.done', { n: scrap.number }))}>${t('asked.again.no')}</button>
    </div>`;
}

function Maybe({ question, document, scraps: [scrap], onShow }) {
  const id = String(document.photo.id);
  const settle = (done) => post(`/api/photos/${encodeURIComponent(id)}/settle`, { remark: question.remark }, done);
  return html`${scrap && html`<${Pieces} document=${document} scraps=${[scrap]} />`}
    <p>${translated(question.message)}</p>
    <div class="row">
      ${question.at_in && html`<button class="button" onClick=${() => onShow(question.at_in)}>${t('questions.show')}</button>`}
      ${scrap ? html`
        <button class="button" onClick=${() => settle(t('asked.is.done', { n: scrap.number }))}>${t('asked.is')}</button>
        <a class="button" href=${to('scraps', id, 'mend', String(scrap.id))}>${t('mend')}</a>
        <button class="button stop" onClick=${() => change('DELETE', `/api/scraps/${encodeURIComponent(scrap.id)}`, undefined, { done: t('mend.away', { n: scrap.number }) }).catch(() => {})}>${t('mend.none')}</button>`
      : html`
        <a class="button" href=${to('scraps', id, 'mend', 'missed')}>${t('asked.draw')}</a>
        <button class="button" onClick=${() => settle(t('asked.nothing.done'))}>${t('asked.nothing')}</button>`}
    </div>`;
}

const kinds = { fabric: WhichFabric, again: Again, maybe: Maybe };

/** The open questions of a photo's document. */
export function Asked({ document, onShow }) {
  const off = waiting.use();
  const byId = new Map(document.scraps.map((scrap) => [scrap.id, scrap]));
  const open = (document.questions ?? []).filter((question) => kinds[question.kind] && !off.has(keyOf(question))
    && question.scraps.every((id) => byId.has(id)));
  if (open.length === 0) return null;
  return html`<details class="asked"><summary>${t('asked.n', { n: open.length })}</summary>
    <ul class="plain-list">${open.map((question) => {
      const Kind = kinds[question.kind];
      return html`<li key=${keyOf(question)}>
        <${Kind} question=${question} document=${document} scraps=${question.scraps.map((id) => byId.get(id))} onShow=${onShow} />
        <button class="plain" onClick=${() => putOff(question)}>${t('asked.later')}</button>
      </li>`;
    })}</ul>
  </details>`;
}
