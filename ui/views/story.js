// The record of one quilt, and of one fabric: where the cloth came from and where it lies.
import { html, useState } from '../lib/html.js';
import { Cloth, Picture, Seam, Sewing, Trouble, Waiting } from '../lib/parts.js';
import { refresh, say, useDocument } from '../lib/book.js';
import { PickPhoto, useSending } from '../lib/askphoto.js';
import { count, day, size, squares } from '../lib/amount.js';
import { useSystem } from '../lib/maker.js';
import { to } from '../lib/route.js';
import { t } from '../text/text.js';
import { Shares } from '../lib/shares.js';
import { quiltApi as api, stateWords } from './planfacts.js';

/** Her own picture of the quilt, or a button to bring one. */
function Photo({ name, has }) {
  const { send, work, fault } = useSending();
  const [seen, setSeen] = useState(0);
  const bring = async (file) => {
    if (!await send(api(name, '/picture'), file)) return;
    say(t('story.kept'), { undo: true });
    setSeen(seen + 1);
    refresh();
  };
  return html`${has && html`<${Picture} key=${seen} src=${`${api(name, '/picture.jpg')}?v=${seen}`} alt=${t('story.photo', { quilt: name })} className="story-photo" />`}
    ${work ? html`<${Sewing} done=${work.done} label=${t('story.sending')} doing=${t('story.sending')} />`
    : html`<${PickPhoto} label=${t(has ? 'story.photo.other' : 'story.photo.bring')} onPhoto=${bring} />`}
    ${fault && html`<${Trouble} fault=${fault} />`}`;
}

/** The map: all of it, or one source or fabric with the rest pale. */
function Where({ name, story }) {
  const [shown, setShown] = useState('');
  const [by, which] = [shown.slice(0, shown.indexOf(':')), shown.slice(shown.indexOf(':') + 1)];
  const query = shown ? `?${new URLSearchParams({ [by]: which })}` : '';
  const sources = story.sources.map((one) => ({ value: `source:${one.source ?? ''}`, words: one.source ?? t('source.none') }));
  const fabrics = story.fabrics.filter((one) => one.patches > 0).map((one) => ({ value: `fabric:${one.fabric}`, words: one.name }));
  const group = (label, rows) => rows.length > 0 && html`<optgroup label=${label}>${rows.map((one) => html`<option key=${one.value} value=${one.value}>${one.words}</option>`)}</optgroup>`;
  return html`<h2>${t('story.where')}</h2>
    <div class="setting"><label for="story-shown">${t('story.show')}</label>
      <select id="story-shown" value=${shown} onChange=${(e) => setShown(e.currentTarget.value)}>
        <option value="">${t('story.all')}</option>${group(t('story.sources'), sources)}${group(t('story.fabrics'), fabrics)}
      </select></div>
    <${Picture} src=${api(name, `/where.svg${query}`)} alt=${t('story.map', { quilt: name })} className="story-map" key=${query} width=${story.finished_in[0]} height=${story.finished_in[1]} />
    <p class="quiet">${t('story.save')}${['svg', 'png', 'pdf'].map((form) => html` <a class="plain" key=${form} download=${`${name}.${form}`}
      href=${`/api/print/picture.${form}?${new URLSearchParams({ quilt: name, ...(shown && { [by]: which }) })}`}>${form.toUpperCase()}</a>`)}</p>`;
}

export function Story({ name }) {
  const system = useSystem();
  const { data, fault } = useDocument(api(name, '/record'));
  if (fault && !data) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`<${Waiting} />`;
  return html`<div class="narrow">
    <${Photo} name=${name} has=${data.picture} />
    ${data.note && html`<p>${data.note}</p>`}
    <dl class="facts">
      <dt>${t('story.begun')}</dt><dd>${day(data.started)}</dd>
      <dt>${t('story.done')}</dt><dd>${data.closed ? day(data.closed) : stateWords(data.state)}</dd>
      ${data.first_block && html`<dt>${t('story.sewn')}</dt><dd>${t('story.sewn.says', { from: day(data.first_block), to: day(data.last_block), n: data.days_sewn })}</dd>`}
      <dt>${t('story.design')}</dt><dd>${data.design_name}</dd>
      <dt>${t('story.blocks')}</dt><dd>${t('story.blocks.says', { across: data.across, down: data.down, made: count(data.made) })}</dd>
      <dt>${t(data.measured_in ? 'story.measures' : 'story.size')}</dt><dd>${size(data.measured_in ?? data.finished_in, system)}</dd>
    </dl>
    ${data.sources.length > 0 && html`<h2>${t('story.from')}</h2><${Shares} rows=${data.sources} words=${(row) => row.source || t('source.none')} />`}
    <${Seam} /><${Where} name=${name} story=${data} />
    ${data.fabrics.length > 0 && html`<h2>${t('story.fabrics')}</h2>
      <ul class="found plain-list">${data.fabrics.map((one) => html`<li key=${one.fabric}><a href=${to('record', 'fabric', String(one.fabric))}><${Cloth} fabric=${one} />${one.name}</a>
        <span class="quiet">${t('story.patches', { n: squares(one.patches, one.exact) })}</span></li>`)}</ul>`}
  </div>`;
}

/** Where one fabric came from, where it went, and what is left. */
export function FabricStory({ id }) {
  const { data, fault } = useDocument(`/api/fabrics/${encodeURIComponent(id)}`);
  const back = html`<a class="back" href=${to('record')}>${t('record')}</a>`;
  if (fault && !data) return html`${back}<h1 tabindex="-1">${t('story.fabric')}</h1><${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`${back}<h1 tabindex="-1">${t('story.fabric')}</h1><${Waiting} />`;
  return html`${back}<h1 tabindex="-1">${data.name}</h1><div class="narrow">
    <${Cloth} fabric=${data} className="story-cloth" label=${data.name} />
    ${data.note && html`<p>${data.note}</p>`}
    <h2>${t('story.from')}</h2>
    ${data.sources.length === 0 ? html`<p class="quiet">${t('story.from.none')}</p>` : html`<dl class="facts">${data.sources.map((one) => html`<dt key=${one.source}>${one.source || t('source.none')}</dt>
      <dd>${t('story.squares', { n: squares(one.squares, one.exact) })}</dd>`)}</dl>`}
    <h2>${t('story.went')}</h2>
    ${data.quilts.length === 0 ? html`<p class="quiet">${t('story.went.none')}</p>` : html`<dl class="facts">${data.quilts.map((one) => html`<dt key=${one.quilt}><a class="roomy" href=${to('quilts', one.quilt, 'story')}>${one.quilt}</a></dt>
      <dd>${t('story.patches', { n: squares(one.exact + one.about, one.about === 0) })}</dd>`)}</dl>`}
    <h2>${t('story.left')}</h2>
    <p>${t('story.left.says', { n: squares(data.squares, data.exact) })}</p>
  </div>`;
}
