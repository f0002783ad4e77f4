// Settings: said once, kept at once; each line answers where it stands.
import { html, useState } from '../lib/html.js';
import { KeptLine } from '../lib/kept.js';
import { Seam, SentChoice, Trouble, Waiting } from '../lib/parts.js';
import { change, redo, refresh, undo, useDocument } from '../lib/book.js';
import { asWritten, unit as unitWords, unitText } from '../lib/amount.js';
import { useSettings } from '../lib/maker.js';
import { later } from '../lib/later.js';
import { languages, t, translated } from '../text/text.js';

const Devices = later(() => import('./devices.js').then((it) => it.Devices), 'devices');
const Copies = later(() => import('./copies.js').then((it) => it.Copies), 'copies');
const Tools = later(() => import('./tools.js').then((it) => it.Tools), 'cutting');

/** A length may come as text or as decimal inches. */
const lengthText = (value) => asWritten(typeof value === 'number' ? unitText(value) : value ?? '');

const keep = (body) => change('PUT', '/api/settings', body, { done: t('settings.kept'), quiet: true, keep: true });

const LengthLine = ({ name, value }) => html`<${KeptLine} id=${`set-${name}`} words=${t(`settings.${name}`)} says=${t(`settings.${name}.says`)}
  value=${value} send=${(said) => keep({ [name]: said })} />`;

function ChoiceLine({ name, value, values }) {
  const [fault, setFault] = useState(null);
  const send = async (next) => {
    try {
      await keep({ [name]: next });
      setFault(null);
    } catch (trouble) {
      setFault(trouble);
      throw trouble;
    }
  };
  return html`<div class="setting">
    <${SentChoice} name=${name} legend=${t(`settings.${name}`)} value=${value} send=${send}
      options=${Array.isArray(values) ? values.map((one) => ({ value: one, words: t(`settings.${name}.${one}`) }))
        : Object.entries(values).map(([one, words]) => ({ value: one, words: html`<span lang=${one}>${words}</span>` }))} />
    ${fault && html`<${Trouble} fault=${fault} />`}
  </div>`;
}

export function Settings() {
  const { fault } = useDocument('/api/settings');
  const data = useSettings();
  const { data: book } = useDocument('/api/book');
  const title = html`<h1 tabindex="-1">${t('settings')}</h1>`;
  if (fault) return html`${title}<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data || !book) return html`${title}<${Waiting} />`;
  const paper = data.paper ?? 'a4';
  return html`${title}<div class="narrow settings">
    <${LengthLine} name="unit" value=${lengthText(data.unit ?? book.unit_in)} />
    <${LengthLine} name="seam" value=${lengthText(data.seam)} />
    <${LengthLine} name="width_of_fabric" value=${lengthText(data.width_of_fabric)} />
    <${ChoiceLine} name="system" value=${data.system ?? 'inches'} values=${['inches', 'metric']} />
    <${ChoiceLine} name="language" value=${data.language ?? 'en'} values=${languages} />
    <${ChoiceLine} name="paper" value=${paper} values=${['a4', 'letter']} />
    <${Seam} />
    <${Devices} />
    <${Seam} />
    <${Copies} />
    <${Seam} />
    <${Tools} />
    <${Seam} />
    <h2>${t('card.title')}</h2>
    <ol class="steps"><li>${t('card.1')}</li><li>${t('card.2')}</li><li>${t('card.3')}</li></ol>
    <p><a class="button" target="_blank" rel="noopener" href=${`/api/print/card.pdf?paper=${paper}`}>${t('card.print')}</a></p>
    <${LengthLine} name="card_line" value=${lengthText(data.card_line)} />
    <${Seam} />
    <h2>${t('undo.title')}</h2>
    <p>${book.undo ? t('undo.next', { what: translated(book.undo.what) }) : t('undo.none')}</p>
    <div class="row">
      <button class="button" disabled=${!book.undo} onClick=${undo}>${t('undo')}</button>
      <button class="button" disabled=${!book.redo} onClick=${redo}>${t('redo')}</button>
    </div>
    <${Seam} />
    <h2>${t('about.title')}</h2>
    ${book.demo && html`<p class="notice">${t('demo.long')}</p>`}
    <dl class="facts">
      <dt>${t('about.book')}</dt><dd class="path">${book.book}</dd>
      <dt>${t('about.unit')}</dt><dd>${unitWords(book.unit_in)}</dd>
      <dt>${t('about.version')}</dt><dd>${book.version}</dd>
    </dl>
    <p class="quiet">${t('about.mine')}</p>
  </div>`;
}
