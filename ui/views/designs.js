// The catalogue: every pattern in her own fabrics, told apart by what she asks of it.
import { html, useEffect, useRef, useState } from '../lib/html.js';
import { Choice, Picture, Trouble, Waiting, small } from '../lib/parts.js';
import { expect, refresh, useDocument } from '../lib/book.js';
import { count, long, share, unit as unitWords } from '../lib/amount.js';
import { cell, keptCell } from '../lib/cell.js';
import { go, to } from '../lib/route.js';
import { useSystem } from '../lib/maker.js';
import { designWords, language, t } from '../text/text.js';

/** The text that the painter opens with: { text, design } of one brought in. */
export const brought = cell(null);

const wish = keptCell('designs', { block: 'any', triangles: 'any', scraps: 0, made: '' });

/** One of the four steps of starting a quilt; the catalogue is the first. */
export const Step = ({ n, title }) => html`<p class="step">${t('start.step', { n, of: 4 })}</p>
  <h2>${title}</h2>`;

const fits = (design, { block, triangles, scraps }) => (block === 'any' || String(design.block) === block)
  && (triangles === 'any' || (triangles === 'cut' ? design.as_cut : Boolean(design.triangles) === (triangles === 'yes')))
  && (design.scrap_share ?? 1) >= scraps;

const inView = 10; // pictures of the first screen, at most
const smallOf = (design) => `/api/designs/${encodeURIComponent(design.design)}${small()}`;
let early = []; // pictures on their way: the browser keeps what somebody holds

/** The finger is down on the way here: the first pictures are asked for before it is off. */
export async function ahead() {
  const document = await expect('/api/designs');
  early = (document?.designs ?? []).filter((one) => fits(one, wish.value)).slice(0, inView).map((one) => Object.assign(new Image(), { src: smallOf(one) }));
}

/** What a design takes of the blocks or squares that she has. */
const Reuse = ({ one }) => one && html`<span class="reuse">${one.taken > 0 && html`<strong>${t('reuse.taken', { n: count(one.taken) })}</strong> `}
  ${t('reuse.left', { n: count(one.left) })}${one.squares_short > 0 && html` <span class="quiet">${t('reuse.short', { n: count(one.squares_short) })}</span>`}${one.triangle_squares > 0 && html` <span class="quiet">${t('reuse.triangles', { n: count(one.triangle_squares) })}</span>`}</span>`;

function Filters({ designs, quilts, unit }) {
  const chosen = wish.use();
  const set = (more) => wish.set({ ...chosen, ...more });
  const sides = [...new Set(designs.map((one) => one.block))].sort((a, b) => a - b);
  const words = (key, values) => values.map((value) => ({ value, words: t(`designs.${key}.${value}`) }));
  return html`<details class="filters" open=${chosen.block !== 'any' || chosen.triangles !== 'any' || chosen.scraps > 0}>
    <summary>${t('designs.filter')}</summary>
    <${Choice} name="block" legend=${t('designs.block')} value=${chosen.block} onChange=${(block) => set({ block })}
      options=${[{ value: 'any', words: t('designs.any') }, ...sides.map((n) => ({ value: String(n), words: `${n} × ${n}` }))]} />
    <${Choice} name="triangles" legend=${t('designs.unit', { unit: unitWords(unit) })} value=${chosen.triangles} onChange=${(triangles) => set({ triangles })}
      options=${words('triangles', ['any', 'no', 'yes', 'cut'])} />
    <${Choice} name="scraps" legend=${t('designs.scraps')} value=${chosen.scraps} onChange=${(scraps) => set({ scraps })}
      options=${[0, 0.25, 0.5, 0.75].map((value) => ({ value, words: value ? t('designs.atleast', { share: share(value) }) : t('designs.any') }))} />
    ${quilts.length > 0 && html`<label class="field">${t('reuse.title')}
      <select value=${chosen.made} onChange=${(e) => set({ made: e.currentTarget.value })}>
        <option value="">${t('reuse.none')}</option>
        <option value="*">${t('reuse.basket')}</option>
        ${quilts.map((one) => html`<option key=${one.quilt} value=${one.quilt}>${t('reuse.quilt', { quilt: one.quilt, n: count(one.made) })}</option>`)}
      </select></label>`}
  </details>`;
}

/** Brings a file in: the painter opens with its text, and tells where it is wrong. */
function BringIn() {
  const file = useRef();
  const [fault, setFault] = useState(null);
  const read = async () => {
    const [it] = file.current.files;
    file.current.value = '';
    if (!it) return;
    if (it.size > 65536) {
      setFault({ message: t('draw.large'), code: 'design.too-large' });
      return;
    }
    brought.set({ text: await it.text(), design: it.name.replace(/\.[^.]*$/, '') });
    go('quilts', 'start', '*draw');
  };
  return html`<input class="unseen" type="file" accept=".design,.txt,text/plain" id="bring" ref=${file} onChange=${read} aria-label=${t('draw.bring')} />
    <button type="button" class="button" onClick=${() => file.current.click()}>${t('draw.bring')}</button>
    ${fault && html`<${Trouble} fault=${fault} />`}`;
}

/** Hook: what a design is, in the language of the page; her own are as she wrote them. */
export function useAbout() {
  const [words, setWords] = useState(); // not here yet
  useEffect(() => { designWords().then(setWords); }, [language()]);
  return (design) => (words === undefined ? '' : (!design.own && words?.[design.design]) || design.about);
}

export function Designs() {
  const system = useSystem();
  const aboutOf = useAbout();
  const chosen = wish.use();
  const { data, fault } = useDocument('/api/designs');
  const { data: all } = useDocument('/api/quilts');
  const quilts = (all?.quilts ?? []).filter((one) => one.made > 0);
  const made = chosen.made === '*' || quilts.some((one) => one.quilt === chosen.made) ? chosen.made : '';
  const { data: reuse } = useDocument(made ? `/api/reuse${made === '*' ? '' : `?${new URLSearchParams({ quilt: made })}`}` : null);
  if (fault) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`<${Waiting} />`;
  const takes = new Map((made ? reuse?.designs ?? [] : []).map((one, place) => [one.design, { ...one, place }]));
  const shown = data.designs.filter((one) => fits(one, chosen))
    .sort((a, b) => (takes.get(a.design)?.place ?? 0) - (takes.get(b.design)?.place ?? 0));
  return html`<${Step} n=${1} title=${t('start.pattern')} />
    <div class="row"><a class="button" href=${to('quilts', 'start', '*draw')} onClick=${() => brought.set(null)}>${t('draw.title')}</a><${BringIn} /></div>
    <${Filters} designs=${data.designs} quilts=${quilts} unit=${data.unit_in ?? 2.5} />
    <p class="quiet" role="status">${t('designs.n', { n: shown.length, of: data.designs.length })}</p>
    <ul class="designs plain-list">${shown.map((design, i) => html`<li key=${design.design}>
      <a href=${to('quilts', 'start', design.design)}>
        <${Picture} src=${smallOf(design)} first=${i < inView} width="240" height="240" />
        <strong>${design.name}</strong>
        ${design.own && html`<span class="quiet">${t('designs.own')}</span>`}
        <span class="quiet">${design.block_finished_in ? t('designs.facts', {
          n: design.block, size: long(design.block_finished_in, system), share: share(design.scrap_share),
        }) : ''}</span>
        <${Reuse} one=${takes.get(design.design)} />
        ${!takes.size && design.about && html`<span class="quiet about">${aboutOf(design)}</span>`}
      </a>
    </li>`)}</ul>`;
}
