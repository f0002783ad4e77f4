// The basket through the years as strata, and one year in one picture.
import { html, useState } from '../lib/html.js';
import { Picture, Trouble, Waiting } from '../lib/parts.js';
import { refresh, useDocument } from '../lib/book.js';
import { count, share } from '../lib/amount.js';
import { to } from '../lib/route.js';
import { t } from '../text/text.js';
import { quiltApi as api } from './planfacts.js';

const high = 26;
const wide = 320;
const beside = 172; // room for words

/** A stratum: its colours by their shares, as wide as squares went in; what of it still
 *  lies there stands on a line of stitches. */
function Stratum({ quarter, most, y, label }) {
  const width = Math.max(2, wide * quarter.squares_in / most);
  let x = 0;
  return html`<g>
    ${quarter.colours.map((one) => {
      const part = width * one.share;
      x += part;
      return html`<rect key=${one.name} x=${x - part} y=${y} width=${part} height=${high - 8} fill=${`rgb(${one.srgb})`}><title>${one.name}</title></rect>`;
    })}
    ${quarter.squares_in > 0 && html`<rect class="undyed" x="0" y=${y} width=${width} height=${high - 8} />`}
    ${quarter.stays > 0 && html`<path class="in" d=${`M1 ${y + high - 4}h${Math.max(1, wide * quarter.stays / most - 2)}`} />`}
    ${label && html`<text x=${wide + 8} y=${y + high - 12}>${label}</text>`}
  </g>`;
}

const sum = (quarters, field) => quarters.reduce((all, one) => all + one[field], 0);

/** A year as one stratum: its quarters' colours laid together. */
function whole(year) {
  const all = sum(year.quarters, 'squares_in');
  const by = new Map();
  for (const one of year.quarters) for (const colour of one.colours) {
    const so = by.get(colour.name) ?? { ...colour, share: 0 };
    so.share += all > 0 ? colour.share * one.squares_in / all : 0;
    by.set(colour.name, so);
  }
  return { squares_in: all, stays: sum(year.quarters, 'stays'), colours: [...by.values()].sort((a, b) => b.share - a.share) };
}

function Year({ year }) {
  const most = Math.max(1, ...year.quarters.map((one) => one.squares_in));
  const value = (field) => count(sum(year.quarters, field));
  return html`<section class="one-year"><h2>${String(year.year)}</h2>
    <p>${t('years.sums', { in: count(year.squares_in), out: count(year.squares_out), blocks: count(year.blocks) })}</p>
    <svg class="year-strata" viewBox=${`0 0 ${wide + beside} ${4 * high}`} role="img" aria-label=${t('years.quarters', { year: year.year })}>
      ${year.quarters.map((one, i) => html`<${Stratum} key=${i} quarter=${one} most=${most} y=${i * high} label=${t(`years.quarter.${i + 1}`)} />`)}</svg>
    <p class="quiet">${t('years.values', { light: value('light'), medium: value('medium'), dark: value('dark') })}</p>
    <details><summary>${t('years.seasons')}</summary><div class="scroll" tabindex="0" role="group" aria-label=${t('years.seasons')}><table>
      <thead><tr><th scope="col">${t('years.season')}</th>${['light', 'medium', 'dark'].map((one) => html`<th scope="col" key=${one}>${t(`years.${one}`)}</th>`)}<th scope="col">${t('years.colours')}</th></tr></thead>
      <tbody>${year.quarters.map((one, i) => html`<tr key=${i}><th scope="row">${t(`years.quarter.${i + 1}`)}</th>${['light', 'medium', 'dark'].map((field) => html`<td key=${field}>${count(one[field])}</td>`)}
        <td>${one.colours.slice(0, 4).map((colour) => `${colour.name} ${share(colour.share)}`).join(', ')}</td></tr>`)}</tbody></table></div></details>
    <p><a class="plain" target="_blank" rel="noopener" href=${`/api/print/year.pdf?year=${year.year}`}>${t('years.paper')}</a>
      ${' '}<a class="plain" download=${`${year.year}.png`} href=${`/api/print/year.png?year=${year.year}`}>${t('years.png')}</a></p>
    ${year.finished.length > 0 && html`<p><strong>${t('years.finished')}</strong></p><ul class="found plain-list">${year.finished.map((name) => html`<li key=${name}>
      <a href=${to('quilts', name, 'story')}><${Picture} src=${api(name, '/where.svg')} width="96" />${name}</a></li>`)}</ul>`}
    ${year.begun.length > 0 && html`<p class="quiet">${t('years.begun', { names: year.begun.join(', ') })}</p>`}
  </section>`;
}

export function Years() {
  const [chosen, setChosen] = useState(null);
  const { data, fault } = useDocument('/api/years');
  if (fault && !data) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`<${Waiting} />`;
  const years = data.years;
  if (years.length === 0) return null;
  const rows = years.map(whole);
  const most = Math.max(1, ...rows.map((one) => one.squares_in));
  const year = years.find((one) => one.year === chosen) ?? years[years.length - 1];
  return html`<p class="quiet">${t('years.says')}</p>
    <svg class="year-strata" viewBox=${`0 0 ${wide + beside} ${years.length * high}`} role="img" aria-label=${t('years.picture')}>
      ${rows.map((one, i) => html`<${Stratum} key=${years[i].year} quarter=${one} most=${most} y=${i * high} label=${`${years[i].year}: ${count(one.squares_in)}`} />`)}</svg>
    <div class="setting"><label for="one-year">${t('years.one')}</label>
      <select id="one-year" value=${String(year.year)} onChange=${(e) => setChosen(Number(e.currentTarget.value))}>
        ${[...years].reverse().map((one) => html`<option key=${one.year} value=${String(one.year)}>${one.year}</option>`)}</select></div>
    <${Year} year=${year} />`;
}
