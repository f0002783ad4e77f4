// What the basket wants to become: designs and backgrounds ranked for what is in it now.
import { html, useState } from '../lib/html.js';
import { Cloth, Picture, Trouble, Waiting, small } from '../lib/parts.js';
import { refresh, useDocument } from '../lib/book.js';
import { count, share, size } from '../lib/amount.js';
import { useSystem } from '../lib/maker.js';
import { to } from '../lib/route.js';
import { t } from '../text/text.js';

/** Round figures in either system. */
const sizes = {
  inches: { small: [40, 50], throw: [60, 72], bed: [84, 92] },
  metric: { small: [100, 130], throw: [150, 180], bed: [215, 235] },
};

export function Wants() {
  const system = useSystem();
  const [wanted, setWanted] = useState('throw');
  const { data, fault } = useDocument(`/api/wants?${new URLSearchParams({ size: `${sizes[system][wanted].join(' x ')} ${system === 'metric' ? 'cm' : 'in'}` })}`);
  if (fault && !data) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`<${Waiting} />`;
  if (data.squares <= 0) return html`<p>${t('wants.empty')}</p>`;
  return html`<p>${t('wants.there', { squares: count(data.squares), light: count(data.light), medium: count(data.medium), dark: count(data.dark) })}</p>
    <div class="setting"><label for="wants-size">${t('wants.size')}</label>
      <select id="wants-size" value=${wanted} onChange=${(e) => setWanted(e.currentTarget.value)}>
        ${Object.entries(sizes[system]).map(([one, sides]) => html`<option key=${one} value=${one}>${t(`wants.size.${one}`, { size: `${sides.join(' × ')} ${t(system === 'metric' ? 'unit.cm' : 'unit.in')}` })}</option>`)}</select></div>
    <ol class="wants plain-list">${data.designs.map((one) => html`<li key=${one.design}>
      <a href=${to('quilts', 'start', one.design)}><${Picture} src=${`/api/designs/${encodeURIComponent(one.design)}${small()}`} width="88" height="88" />
        <span><strong>${one.name}</strong><br /><span class="quiet">${size(one.finished_in, system)}: ${one.enough >= 1 ? t('wants.enough', { n: count(one.squares) }) : t('wants.short', { n: count(one.squares), share: share(one.enough) })}
        ${one.light + one.dark > 0 && one.contrast < 0.5 ? ` ${t('wants.blurred')}` : ''}</span></span></a></li>`)}</ol>
    ${data.backgrounds.length > 0 && html`<p><strong>${t('wants.backgrounds')}</strong></p>
      <ul class="found plain-list">${data.backgrounds.map((one, i) => html`<li key=${i}><${Cloth} fabric=${{ srgb: one.srgb }} /><span>${one.name}</span>
        <span class="quiet">${one.melting > 0 ? t('wants.melting', { share: share(one.melting) }) : t('wants.stands')}</span></li>`)}</ul>`}`;
}
