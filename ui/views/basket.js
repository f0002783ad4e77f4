// Basket: how many there are, then the cloth of them, then by value, source and depth.
import { html, useMemo, useState } from '../lib/html.js';
import { Choice, Cloth, Empty, Figure, Fold, Seam, Sheet, Stepper, Trouble, Waiting, useFirst } from '../lib/parts.js';
import { undyed } from '../lib/weave.js';
import { QuiltCloth, layCells } from '../lib/quiltcloth.js';
import { Shares, Thread } from '../lib/shares.js';
import { BasketDrawing } from '../lib/drawings.js';
import { change, refresh, useDocument } from '../lib/book.js';
import { count, day, share, squares, unit as unitWords, unitText } from '../lib/amount.js';
import { go } from '../lib/route.js';
import { later } from '../lib/later.js';
import { has, t } from '../text/text.js';
import { PhotoButton } from './scraps.js';

const Weigh = later(() => import('./weigh.js').then((it) => it.Weigh), 'cutting');

const nameOf = (fabric) => fabric.name || t(fabric.fabric === null ? 'fabric.none' : 'fabric.some');
const valueWords = (value) => (value && has(`value.${value}`) ? t(`value.${value}`) : t('value.none'));

const mostLines = 12;

/** Round the colour circle, greys last, dark to light within. */
function roundTheCircle({ srgb }) {
  const [r, g, bl] = (srgb ?? undyed).map((x) => x / 255);
  const high = Math.max(r, g, bl);
  const low = Math.min(r, g, bl);
  const d = high - low;
  if (d < 0.06) return 10 + high;
  const hue = high === r ? ((g - bl) / d + 6) % 6 : high === g ? (bl - r) / d + 2 : (r - g) / d + 4;
  return Math.floor(hue * 2) / 2 + high / 10;
}

const byColour = (fabrics) => fabrics.map((one) => [roundTheCircle(one), one]).sort(([a], [b]) => a - b).map(([, one]) => one);

const rowsIn = (list) => list.reduce((sum, one) => sum + one.squares, 0);

const atOnce = 60; // of a basket that has gathered for decades, each with its picture

function Fabrics({ fabrics, onFabric }) {
  const [most, setMost] = useState(atOnce);
  return html`<ul class="fabrics plain-list">${useFirst(fabrics.slice(0, most), 8).map((fabric) => html`<li key=${fabric.fabric}>
    <button onClick=${() => onFabric(fabric)}>
      <${Cloth} fabric=${fabric} />
      <span class="grow">${nameOf(fabric)}</span>
      <${Figure} guess=${!fabric.exact} text=${squares(fabric.squares, fabric.exact)} />
      <span class="quiet share">${share(fabric.share)}</span>
    </button>
  </li>`)}</ul>
  ${fabrics.length > most && html`<button class="plain" onClick=${() => setMost(most + 2 * atOnce)}>${t('fabrics.more', { n: count(fabrics.length - most) })}</button>`}`;
}

/** Her own name for it, if she likes. */
function Named({ fabric }) {
  const [name, setName] = useState(fabric.name ?? '');
  if (fabric.fabric === null) return null;
  return html`<form class="inline-form" onSubmit=${(event) => {
    event.preventDefault();
    change('PUT', `/api/fabrics/${encodeURIComponent(fabric.fabric)}`, { name }, { done: t('fabric.named', { name }) }).catch(() => {});
  }}>
    <label class="field">${t('fabric.name')}
      <input type="text" maxlength="60" autocomplete="off" value=${name} onInput=${(e) => setName(e.currentTarget.value)} /></label>
    <button class="button" disabled=${name.trim() === (fabric.name ?? '')}>${t('fabric.keep')}</button>
  </form>`;
}

/** The lines of the ledger that make up a figure, the newest first; rows of one day and
 * kind are one line. */
function Ledger({ rows }) {
  const lines = [];
  for (const row of [...(rows ?? [])].reverse()) {
    const last = lines.at(-1);
    if (last && last.how === row.how && last.exact === row.exact && day(last.at) === day(row.at)) last.count += row.count;
    else lines.push({ ...row });
  }
  if (lines.length === 0) return null;
  return html`<h3>${t('fabric.comes')}</h3>
    <ul class="ledger plain-list">${lines.slice(0, mostLines).map((row, i) => html`<li key=${i}>
      <span class="grow">${day(row.at)}, ${has(`ledger.${row.how}`) ? t(`ledger.${row.how}`) : row.how}</span>
      <${Figure} guess=${!row.exact} text=${`${row.count > 0 ? '+' : '−'}${squares(Math.abs(row.count), true)}`} />
    </li>`)}</ul>
    ${lines.length > mostLines && html`<p class="quiet">${t('ledger.more', { n: lines.length - mostLines })}</p>`}`;
}

function FabricSheet({ fabric, onClose }) {
  const { data: known } = useDocument(fabric.fabric === null ? null : `/api/fabrics/${encodeURIComponent(fabric.fabric)}`);
  return html`<${Sheet} title=${nameOf(fabric)} onClose=${onClose}>
    <${Cloth} fabric=${fabric} className="big" label=${nameOf(fabric)} />
    <p class="large"><${Figure} guess=${!fabric.exact} text=${squares(fabric.squares, fabric.exact)} /></p>
    <p>${t(fabric.exact ? 'fabric.exact' : 'fabric.about', { n: fabric.squares })}</p>
    <${Named} fabric=${fabric} />
    <dl class="facts">
      <dt>${t('fabric.share')}</dt><dd>${share(fabric.share)}</dd>
      <dt>${t('scrap.value')}</dt><dd>${valueWords(fabric.value)}</dd>
    </dl>
    <${Ledger} rows=${known?.ledger} />
  </${Sheet}>`;
}

const Depth = ({ layers }) => html`<p class="quiet">${t('depth.says')}</p>
  <ol class="strata plain-list">${layers.map((layer) => html`<li key=${layer.layer}
    ref=${(it) => { if (it) it.style.minHeight = `${Math.min(160, 44 + layer.squares / 2)}px`; }}>
    <span class="grow">${day(layer.at)}</span>
    <span>${t('depth.left', { n: count(layer.squares), put: count(layer.put_in) })}</span>
    <${Thread} part=${layer.put_in > 0 ? layer.squares / layer.put_in : 1} />
  </li>`)}</ol>`;

/** Add, take, or count again by hand; nothing but the number is asked for. Drawn when it is
 *  first opened: it names every fabric of the basket. */
function ByHand({ basket }) {
  const [seen, see] = useState(false);
  return html`<details class="by-hand" onToggle=${() => see(true)}><summary>${t('hand')}</summary>
    ${seen && html`<${Hand} basket=${basket} />`}</details>`;
}

function Hand({ basket }) {
  const [what, setWhat] = useState('add');
  const [n, setN] = useState(10);
  const [source, setSource] = useState('');
  const [fabric, setFabric] = useState('');
  const [unit, setUnit] = useState('');
  const [fault, setFault] = useState(null);
  const [busy, setBusy] = useState(false);
  const act = async (event) => {
    event.preventDefault();
    if (busy) return; // a double tap puts in once
    setBusy(true);
    setFault(null);
    const body = { count: n };
    if (unit) body.unit = unit;
    if (source && what === 'add') body.source = source;
    if (fabric) body.fabric = fabric;
    try {
      await change('POST', `/api/basket/${what}`, body, { done: t(`hand.${what}.done`, { n }), quiet: true, keep: what !== 'correct' });
    } catch (trouble) {
      setFault(trouble);
    }
    setBusy(false);
  };
  return html`<form onSubmit=${act}>
    <${Choice} name="what" legend=${t('hand.what')} value=${what} onChange=${setWhat} options=${[
      { value: 'add', words: t('hand.add') },
      { value: 'take', words: t('hand.take') },
      { value: 'correct', words: t('hand.correct') },
    ]} />
    <div class="field"><span aria-hidden="true">${t(`hand.${what}.n`)}</span>
      <${Stepper} label=${t(`hand.${what}.n`)} value=${n} min=${what === 'correct' ? 0 : 1} onChange=${setN} /></div>
    <div class="fields">
      ${what === 'add' && html`<label class="field">${t('hand.source')}
        <input type="text" list="sources" maxlength="60" value=${source} onInput=${(e) => setSource(e.currentTarget.value)} />
        <datalist id="sources">${(basket?.sources ?? []).map((one) => html`<option key=${one.source} value=${one.source} />`)}</datalist>
      </label>`}
      <label class="field">${t('hand.fabric')}
        <select value=${fabric} onChange=${(e) => setFabric(e.currentTarget.value)}>
          <option value="">${t('hand.fabric.any')}</option>
          ${(basket?.fabrics ?? []).filter((one) => one.fabric !== null).map((one) => html`<option key=${one.fabric} value=${one.fabric}>${nameOf(one)}</option>`)}
        </select></label>
      ${(basket?.units ?? []).length > 1 && html`<label class="field">${t('unit')}
        <select value=${unit} onChange=${(e) => setUnit(e.currentTarget.value)}>
          ${basket.units.map((one) => html`<option key=${one.unit_in} value=${unitText(one.unit_in)}>${unitWords(one.unit_in)}</option>`)}
        </select></label>`}
    </div>
    ${fault && html`<${Trouble} fault=${fault} />`}
    <button class="button">${t(`hand.${what}.do`, { n })}</button>
  </form>`;
}

export function Basket() {
  const { data, fault } = useDocument('/api/basket');
  const { data: book } = useDocument('/api/book');
  const [by, setBy] = useState('colour');
  const [open, setOpen] = useState(null);
  const fabrics = useMemo(() => byColour((data?.fabrics ?? []).filter((one) => one.squares > 0)), [data]);
  const title = html`<h1 tabindex="-1">${t('basket')}</h1>`;
  const weigh = html`<${Fold} class="by-hand weigh" title=${t('weigh')}>${() => html`<${Weigh} />`}</${Fold}>`;
  if (fault) return html`${title}<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`${title}<${Waiting} />`;
  if (data.squares === 0 && fabrics.length === 0) {
    return html`${title}<div class="narrow">
      <${Empty} picture=${html`<${BasketDrawing} />`} title=${t('basket.empty')}>
        <p>${t('basket.empty.how')}</p>
        <p><a href="/api/print/card.pdf" target="_blank" rel="noopener">${t('card.print')}</a></p>
        <${PhotoButton} onPicked=${() => go('scraps') /* where it is seen coming in */} />
      </${Empty}>
      <${ByHand} basket=${data} />
      ${weigh}
    </div>`;
  }
  const units = data.units ?? [];
  const values = ['light', 'medium', 'dark'].filter((value) => fabrics.some((one) => one.value === value));
  const other = fabrics.filter((one) => !values.includes(one.value));
  const { each } = layCells(fabrics);
  const named = rowsIn(fabrics);
  const byHand = html`<${ByHand} basket=${data} />${weigh}`;
  return html`${title}
    <p class="huge">${count(data.squares)}</p>
    <p class="middling">${units.length > 1
      ? units.map((one) => t('basket.unit', { n: count(one.squares), unit: unitWords(one.unit_in) })).join(' · ')
      : t('basket.of', { unit: unitWords(units[0]?.unit_in ?? book?.unit_in ?? 2.5), n: data.squares })}</p>
    <${Choice} name="by" legend=${t('basket.by')} quiet value=${by} onChange=${setBy}
      options=${['colour', 'value', 'source', 'depth'].map((value) => ({ value, words: t(`by.${value}`) }))} />
    ${by === 'colour' && html`
      <${QuiltCloth} fabrics=${fabrics} onFabric=${setOpen} label=${t('basket.cloth', { n: fabrics.length })} />
      ${each > 1 && html`<p class="quiet">${t('basket.each', { n: each })}</p>`}
      ${named < data.squares && html`<p class="quiet">${t('basket.unnamed', { n: data.squares - named })}</p>`}
      ${byHand /* not below a list that may be of hundreds */}
      <${Seam} /><${Fabrics} fabrics=${[...fabrics].sort((a, b) => b.squares - a.squares)} onFabric=${setOpen} />`}
    ${by === 'value' && html`
      <${Shares} rows=${data.values ?? []} words=${(row) => valueWords(row.value)} />
      ${[...values.map((value) => [value, fabrics.filter((one) => one.value === value)]), ['', other]]
        .filter(([, list]) => list.length > 0)
        .map(([value, list]) => html`<section key=${value}><h2>${valueWords(value)}</h2>
          <${QuiltCloth} fabrics=${list} onFabric=${setOpen} label=${t('basket.cloth', { n: list.length })} /></section>`)}`}
    ${by === 'source' && html`<${Shares} rows=${data.sources ?? []} words=${(row) => row.source || t('source.none')} />`}
    ${by === 'depth' && html`<${Depth} layers=${data.layers ?? []} />`}
    ${by !== 'colour' && html`<${Seam} />${byHand}`}
    ${open && html`<${FabricSheet} fabric=${fabrics.find((one) => one.fabric === open.fabric) ?? open} onClose=${() => setOpen(null)} />`}`;
}
