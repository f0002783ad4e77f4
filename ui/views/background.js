// Which background? Solids of a wheel, her own fabrics, or one that she photographs in the
// shop: those in which fewest of her squares would be lost come first.
import { html, useState } from '../lib/html.js';
import { AskPhoto } from '../lib/askphoto.js';
import { Choice, Cloth, Fold, Trouble } from '../lib/parts.js';
import { useDocument } from '../lib/book.js';
import { share } from '../lib/amount.js';
import { t } from '../text/text.js';

const Row = ({ one }) => html`<li class="background">
  <${Cloth} fabric=${one} className="wide" />
  <div class="grow"><strong>${one.name}</strong>
    <p>${one.melting > 0 ? t('backgrounds.melting', { share: share(one.melting) }) : t('backgrounds.none')}
      <span class="quiet"> ${t(one.lighter > 0 ? 'backgrounds.lighter' : 'backgrounds.darker', { n: Math.abs(Math.round(one.lighter)), apart: Math.round(one.apart) })}</span></p>
    ${one.melt.length > 0 && html`<p class="melting">${one.melt.map((fabric) => html`<${Cloth} key=${fabric.fabric} fabric=${fabric} label=${t('backgrounds.which', { n: fabric.squares, name: fabric.name })} />`)}</p>`}
  </div></li>`;

function Ranking() {
  const [from, setFrom] = useState('wheel');
  const [seen, setSeen] = useState(null); // what a photo brought
  const { data, fault } = useDocument(`/api/backgrounds?${new URLSearchParams({ from, count: 8 })}`);
  const choose = (it) => { setSeen(null); setFrom(it); };
  const all = (seen ?? data)?.backgrounds ?? [];
  return html`<${Choice} name="from" legend=${t('backgrounds.from')} quiet value=${seen ? 'photo' : from} onChange=${choose}
      options=${['wheel', 'fabrics'].map((value) => ({ value, words: t(`backgrounds.from.${value}`) }))} />
    <${AskPhoto} path="/api/backgrounds/photo" label=${t('backgrounds.photo')} looking=${t('backgrounds.looking')} onAnswer=${setSeen} />
    ${seen && html`<p class="quiet">${t('backgrounds.photographed')}</p>`}
    ${fault && html`<${Trouble} fault=${fault} />`}
    <ul class="plain-list">${all.map((one, i) => html`<${Row} key=${i} one=${one} />`)}</ul>`;
}

export const Backgrounds = () => html`<${Fold} class="backgrounds" title=${t('backgrounds.title')}>
  ${() => html`<p class="quiet">${t('backgrounds.says')}</p><${Ranking} />`}</${Fold}>`;
