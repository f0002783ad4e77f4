// Quilts: those under way and finished, and starting one.
import { html, useState } from '../lib/html.js';
import { Empty, Picture, Seam, Sewing, Stepper, Trouble, Waiting, useSettled } from '../lib/parts.js';
import { QuiltDrawing } from '../lib/drawings.js';
import { change, refresh, useDocument } from '../lib/book.js';
import { count, unitText } from '../lib/amount.js';
import { go, to } from '../lib/route.js';
import { keptCell } from '../lib/cell.js';
import { t } from '../text/text.js';
import { PlanFacts, stateWords } from './planfacts.js';
import { Quilt } from './quilt.js';

function List({ quilts }) {
  return html`<ul class="quilts plain-list">${quilts.map((quilt) => {
    const blocks = quilt.made + quilt.left;
    return html`<li key=${quilt.quilt}>
      <a href=${to('quilts', quilt.quilt)}>
        <${Picture} src=${`/api/quilts/${encodeURIComponent(quilt.quilt)}/chart.svg`} width="96" height="96" />
        <span class="grow">
          <strong>${quilt.quilt}</strong>
          <span class="quiet">${stateWords(quilt.state)}</span>
          <${Sewing} done=${blocks > 0 ? quilt.made / blocks : 0} label=${t('quilt.progress', { quilt: quilt.quilt })}
            doing=${t('quilt.made', { made: count(quilt.made), of: count(blocks) })} quiet />
        </span>
      </a>
    </li>`;
  })}</ul>`;
}

// ---- starting one ----------------------------------------------------------------------

// What she has chosen so far; a look at the basket in between loses nothing.
const draft = keptCell('start', { across: 12, down: 16, name: '' });

function Designs() {
  const { data, fault } = useDocument('/api/designs');
  if (fault) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`<${Waiting} />`;
  return html`<p class="step">${t('start.step', { n: 1, of: 3 })}</p>
    <h2>${t('start.pattern')}</h2>
    <ul class="designs plain-list">${data.designs.map((design) => html`<li key=${design.design}>
      <a href=${to('quilts', 'start', design.design)}>
        <${Picture} src=${`/api/designs/${encodeURIComponent(design.design)}/picture.svg`} width="240" height="240" />
        <strong>${design.name}</strong>
        ${design.about && html`<span class="quiet about">${design.about}</span>`}
      </a>
    </li>`)}</ul>`;
}

function Start({ design }) {
  const chosen = draft.use();
  const { data: designs } = useDocument('/api/designs');
  const { data: book } = useDocument('/api/book');
  const { data: basket } = useDocument('/api/basket');
  const [fault, setFault] = useState(null);
  const [unit, setUnit] = useState(null);
  const about = designs?.designs?.find((one) => one.design === design);
  const wanted = unit ?? (book ? unitText(book.unit_in) : '');
  const query = useSettled(new URLSearchParams({
    design, across: chosen.across, down: chosen.down, ...(wanted ? { unit: wanted } : {}),
  }).toString());
  const plan = useDocument(book ? `/api/plan?${query}` : null);
  const buy = useDocument(book ? `/api/buy?${query}` : null);
  const shown = plan.data ?? plan.last;
  const set = (more) => draft.set({ ...chosen, ...more });
  const [busy, setBusy] = useState(false);
  const start = async (event) => {
    event.preventDefault();
    if (busy) return;
    setBusy(true);
    setFault(null);
    const quilt = chosen.name.trim() || about?.name || design;
    try {
      await change('POST', '/api/quilts', {
        quilt, design, across: chosen.across, down: chosen.down, ...(wanted ? { unit: wanted } : {}),
      }, { done: t('start.done', { quilt }), quiet: true });
      draft.set({ ...chosen, name: '' });
      go('quilts', quilt);
    } catch (trouble) {
      setFault(trouble);
      setBusy(false);
    }
  };
  return html`<form class="two starting" onSubmit=${start}>
    <div>
      <${Picture} class="design-picture" src=${`/api/designs/${encodeURIComponent(design)}/picture.svg`} alt=${t('design.picture', { name: about?.name ?? design })} width="320" height="320" />
      <p><strong>${about?.name ?? design}</strong>${about?.about && html`<span class="quiet about">${about.about}</span>`} <a href=${to('quilts', 'start')}>${t('start.another')}</a></p>
    </div>
    <div>
      <p class="step">${t('start.step', { n: 2, of: 3 })}</p>
      <h2>${t('start.size')}</h2>
      <div class="row">
        <div class="field"><span aria-hidden="true">${t('start.across')}</span>
          <${Stepper} label=${t('start.across')} value=${chosen.across} min=${1} max=${200} onChange=${(across) => set({ across })} /></div>
        <div class="field"><span aria-hidden="true">${t('start.down')}</span>
          <${Stepper} label=${t('start.down')} value=${chosen.down} min=${1} max=${200} onChange=${(down) => set({ down })} /></div>
        <label class="field">${t('unit')}
          <input type="text" class="short" value=${wanted} onChange=${(e) => setUnit(e.currentTarget.value.trim())} /></label>
      </div>
      ${plan.fault && html`<${Trouble} fault=${plan.fault} />`}
      ${shown && !plan.fault && html`<${PlanFacts} plan=${shown} buy=${buy.data ?? buy.last} basket=${basket} />`}
      <${Seam} />
      <p class="step">${t('start.step', { n: 3, of: 3 })}</p>
      <label class="field">${t('start.name')}
        <input type="text" maxlength="60" value=${chosen.name} autocomplete="off"
          onInput=${(e) => set({ name: e.currentTarget.value })} /></label>
      ${fault && html`<${Trouble} fault=${fault} />`}
      <div class="thumb"><button class="button main" disabled=${Boolean(plan.fault)}>${t('start.do')}</button></div>
    </div>
  </form>`;
}

export function Quilts({ rest }) {
  const [name, what] = rest;
  const { data, fault } = useDocument(name ? null : '/api/quilts');
  if (name === 'start') {
    return html`<a class="back" href=${what ? to('quilts', 'start') : to('quilts')}>${t(what ? 'start.back' : 'quilt.all')}</a>
      <h1 tabindex="-1">${t('start.title')}</h1>
      ${what ? html`<${Start} design=${what} key=${what} />` : html`<${Designs} />`}`;
  }
  if (name) return html`<${Quilt} name=${name} what=${what} key=${name} />`;
  const title = html`<h1 tabindex="-1">${t('quilts')}</h1>`;
  if (fault) return html`${title}<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`${title}<${Waiting} />`;
  if (data.quilts.length === 0) {
    return html`${title}<div class="narrow"><${Empty} picture=${html`<${QuiltDrawing} />`} title=${t('quilts.empty')}>
      <p>${t('quilts.empty.how')}</p>
      <a class="button main" href=${to('quilts', 'start')}>${t('start.title')}</a>
    </${Empty}></div>`;
  }
  return html`${title}<div class="narrow">
    <${List} quilts=${data.quilts} />
    <div class="thumb"><a class="button main" href=${to('quilts', 'start')}>${t('start.title')}</a></div>
  </div>`;
}
