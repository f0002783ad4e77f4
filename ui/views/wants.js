// What the basket wants to become: designs and backgrounds ranked for what is in it now.
import { html, useState } from '../lib/html.js';
import { Cloth, Picture, Trouble, Waiting, small } from '../lib/parts.js';
import { refresh, useDocument } from '../lib/book.js';
import { count, share, size } from '../lib/amount.js';
import { useSystem } from '../lib/maker.js';
import { to } from '../lib/route.js';
import { t } from '../text/text.js';

const sizes = { small: '40 x 50 in', throw: '60 x 72 in', bed: '84 x 92 in' };

export function Wants() {
  const system = useSystem();
  const [wanted, setWanted] = useState('throw');
  const { data, fault } = useDocument(`/api/wants?${new URLSearchParams({ size: sizes[wanted] })}`);
  if (fault && !data) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`<${Waiting} />`;
  if (data.squares <= 0) return html`<p>${t('wants.empty')}</p>`;
  return html`<p>${t('wants.there', { squares: count(data.squares), light: count(data.light), medium: count(data.medium), dark: count(data.dark) })}</p>
    <div class="setting"><label for="wants-size">${t('wants.size')}</label>
      <select id="wants-size" value=${wanted} onChange=${(e) => setWanted(e.currentTarget.value)}>
        ${Object.keys(sizes).map((one) => html`<option key=${one} value=${one}>${t(`wants.size.${one}`)}</option>`)}</select></div>
    <ol class="wants plain-list">${data.designs.map((one) => html`<li key=${one.design}>
      <a href=${to('quilts', 'start', one.design)}><${Picture} src=${`/api/designs/${encodeURIComponent(one.design)}${small()}`} width="88" height="88" />
        <span><strong>${one.name}</strong><br /><span class="quiet">${size(one.finished_in, system)}: ${one.enough >= 1 ? t('wants.enough', { n: count(one.squares) }) : t('wants.short', { n: count(one.squares), share: share(one.enough) })}
        ${one.light + one.dark > 0 && one.contrast < 0.5 ? ` ${t('wants.blurred')}` : ''}</span></span></a></li>`)}</ol>
    ${data.backgrounds.length > 0 && html`<p><strong>${t('wants.backgrounds')}</strong></p>
      <ul class="found plain-list">${data.backgrounds.map((one, i) => html`<li key=${i}><${Cloth} fabric=${{ srgb: one.srgb }} /><span>${one.name}</span>
        <span class="quiet">${one.melting > 0 ? t('wants.melting', { share: share(one.melting) }) : t('wants.stands')}</span></li>`)}</ul>`}`;
}
