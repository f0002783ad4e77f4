// The pile, sorted by her thresholds: keep whole, squares, strings, too small.
import { html, useRef } from '../lib/html.js';
import { ScrapPicture } from '../lib/plan.js';
import { Seam, Trouble, Waiting, useNear } from '../lib/parts.js';
import { refresh, useDocument } from '../lib/book.js';
import { size, unit as unitWords } from '../lib/amount.js';
import { useSystem } from '../lib/maker.js';
import { to } from '../lib/route.js';
import { t } from '../text/text.js';

const bySize = (a, b) => (b.holds_in?.[0] ?? 0) * (b.holds_in?.[1] ?? 0) - (a.holds_in?.[0] ?? 0) * (a.holds_in?.[1] ?? 0);

/** The scrap out of its photo, asked for when it comes into view. */
function Pictured({ scrap: { scrap, photo, number } }) {
  const ref = useRef();
  const near = useNear(ref);
  const { data } = useDocument(near && photo ? `/api/photos/${encodeURIComponent(photo)}` : null);
  const found = data?.scraps.find((one) => one.id === scrap);
  return html`<span class="pile-picture" ref=${ref}>
    ${found && data.plan && html`<${ScrapPicture} plan=${data.plan} scrap=${found} label=${t('scrap.title', { n: number })} />`}
  </span>`;
}

function Group({ pile: { use, scraps, squares }, all, system }) {
  const rows = all.filter((one) => one.use === use).sort(bySize);
  return html`<${Seam} /><section>
    <h2>${t(`pile.${use}`, { n: scraps })}</h2>
    ${use === 'squares' && html`<p class="quiet">${t('squares.n', { n: squares })}</p>`}
    <ul class="pile-rows plain-list">${rows.map((one) => html`<li key=${one.scrap}>
      <${Pictured} scrap=${one} />
      <a href=${to('scraps', String(one.photo))}>${t('scrap.title', { n: one.number })}</a>
      <span class="grow">${one.holds_in ? t('pile.holds', { size: size(one.holds_in, system) }) : ''}</span>
      <span>${one.squares > 0 ? t('squares.n', { n: one.squares }) : ''}</span>
    </li>`)}</ul>
  </section>`;
}

export function Pile() {
  const system = useSystem();
  const { data, fault } = useDocument('/api/pile');
  const head = html`<a class="back" href=${to('scraps')}>${t('photo.all')}</a><h1 tabindex="-1">${t('pile')}</h1>`;
  if (fault) return html`${head}<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`${head}<${Waiting} />`;
  return html`${head}<div class="narrow">
    <p>${t('pile.says', { unit: unitWords(data.unit_in) })} <a href=${to('settings')}>${t('pile.change')}</a></p>
    ${data.scraps.length === 0
      ? html`<p class="quiet">${t('pile.none')}</p>`
      : data.piles.filter((one) => one.scraps > 0).map((one) => html`<${Group} key=${one.use} pile=${one} all=${data.scraps} system=${system} />`)}
  </div>`;
}
