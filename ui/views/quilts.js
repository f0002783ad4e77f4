// Quilts: those under way and finished, and starting one.
import { html, useEffect } from '../lib/html.js';
import { Empty, Fold, Picture, Sewing, Trouble, Waiting, small, useFirst } from '../lib/parts.js';
import { QuiltDrawing } from '../lib/drawings.js';
import { later, whenIdle } from '../lib/later.js';
import { expect, refresh, useDocument } from '../lib/book.js';
import { count } from '../lib/amount.js';
import { to } from '../lib/route.js';
import { t } from '../text/text.js';
import { quiltApi, stateWords } from './planfacts.js';

function List({ quilts }) {
  return html`<ul class="quilts plain-list">${useFirst(quilts, 12).map((quilt, i) => {
    const blocks = quilt.made + quilt.left;
    return html`<li key=${quilt.quilt}>
      <a href=${to('quilts', quilt.quilt)}>
        <${Picture} src=${quiltApi(quilt.quilt, small(true))} first=${i < 8} width="96" height="96" />
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

// A quilt comes after the list of them, and before a tap wants it or the program is away.
const Quilt = later(() => import('./quilt.js').then((it) => it.Quilt));
whenIdle(() => Quilt.ahead());

// Starting one takes views of its own, which come when they are wanted.
const Designs = later(() => import('./designs.js').then((it) => it.Designs), 'planning');
const Painter = later(() => import('./painter.js').then((it) => it.Painter), 'planning');
const Plan = later(() => import('./plan.js').then((it) => it.Plan), 'planning');

const Wants = later(() => import('./wants.js').then((it) => it.Wants), 'planning');

/** To the catalogue, whose document and first pictures are on their way before the finger is off. */
function Start() {
  const soon = () => expect('/api/designs');
  const pressed = () => import('./designs.js').then((it) => it.ahead()).catch(() => {}); // wanted and still away, it says so
  useEffect(() => { whenIdle(() => Designs.ahead()); }, []);
  return html`<a class="button main" href=${to('quilts', 'start')} onPointerEnter=${soon} onPointerDown=${pressed} onFocus=${soon}>${t('start.title')}</a>`;
}

export function Quilts({ rest }) {
  const [name, what, which] = rest;
  const { data, fault } = useDocument(name ? null : '/api/quilts');
  if (name === 'start' && what === '*draw') return html`<${Painter} design=${which} key=${which ?? ''} />`;
  if (name === 'start') {
    return html`<a class="back" href=${what ? to('quilts', 'start') : to('quilts')}>${t(what ? 'start.back' : 'quilt.all')}</a>
      <h1 tabindex="-1">${t('start.title')}</h1>
      ${what ? html`<${Plan} design=${what} key=${what} />` : html`<${Designs} />`}`;
  }
  if (name) return html`<${Quilt} name=${name} what=${what} key=${name} />`;
  const title = html`<h1 tabindex="-1">${t('quilts')}</h1>`;
  if (fault) return html`${title}<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`${title}<${Waiting} />`;
  if (data.quilts.length === 0) {
    return html`${title}<div class="narrow"><${Empty} picture=${html`<${QuiltDrawing} />`} title=${t('quilts.empty')}>
      <p>${t('quilts.empty.how')}</p>
      <${Start} />
    </${Empty}></div>`;
  }
  return html`${title}<div class="narrow">
    <${List} quilts=${data.quilts} />
    <${Fold} class="what-next" title=${t('wants.title')}>${() => html`<${Wants} />`}</${Fold}>
    <div class="thumb"><${Start} /></div>
  </div>`;
}
