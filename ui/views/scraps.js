// Scraps: a photo in, outlines over it, and from there to the cutting.
import { html, useEffect, useLayoutEffect, useRef, useState } from '../lib/html.js';
import { Choice, Cloth, Empty, Figure, Picture, Seam, Sewing, Sheet, Trouble, TypedLine, Waiting, useWide } from '../lib/parts.js';
import { PlanPicture, ScrapPicture, planFor, useMended } from '../lib/plan.js';
import { ZoomButtons, useZoom } from '../lib/zoom.js';
import { again, bringAll, forget, source, uploads } from '../lib/photos.js';
import { ask, change, refresh, useDocument } from '../lib/book.js';
import { area, count, day, share } from '../lib/amount.js';
import { go, to } from '../lib/route.js';
import { ScrapsDrawing } from '../lib/drawings.js';
import { useSystem } from '../lib/maker.js';
import { translated, t } from '../text/text.js';
import { later } from '../lib/later.js';

const Cut = later(() => import('./cut.js').then((it) => it.Cut), 'cutting');
const Pile = later(() => import('./pile.js').then((it) => it.Pile), 'cutting');
const Piece = later(() => import('./piece.js').then((it) => it.Piece), 'cutting');
const Asked = later(() => import('./asked.js').then((it) => it.Asked), 'mending');
const Corners = later(() => import('./corners.js').then((it) => it.Corners), 'mending');
const Mend = later(() => import('./mend.js').then((it) => it.Mend), 'mending');

const onePage = 30; // photos that the program lists at a time

/** The most of the two ways to cut; what the picture promises, before anybody has cut. */
const squaresOf = (scrap) => Math.max(scrap.squares?.grid ?? 0, scrap.squares?.strips ?? 0);

export const lying = (scraps) => (scraps ?? []).filter((scrap) => (scrap.state ?? 'lying') === 'lying');

/** Takes photos or picks them; `onPicked` is called when they are on their way. */
export function PhotoButton({ main = true, onPicked = () => {} }) {
  return html`<label class=${main ? 'button main' : 'button'}>
    <input class="unseen" type="file" accept="image/jpeg,image/png" multiple
      onChange=${(e) => {
        const files = [...e.currentTarget.files];
        e.currentTarget.value = ''; // the same photo may be picked again
        if (files.length === 0) return;
        bringAll(files);
        onPicked();
      }} />
    <span>${t('photo.take')}</span>
  </label>`;
}

const mostSources = 8; // to choose of at once; a maker of decades has more, and can type

function SourceChoice() {
  const chosen = source.use();
  const { data } = useDocument('/api/sources');
  const [other, setOther] = useState(false);
  const all = (data?.sources ?? []).map((one) => one.source);
  const near = [...new Set([...all.slice(0, mostSources), chosen].filter(Boolean))];
  return html`<div class="sources">
    <${Choice} name="source" legend=${t('source.legend')} value=${other ? '+' : chosen}
      options=${[
        { value: '', words: t('source.none') },
        ...near.map((name) => ({ value: name, words: name })),
        { value: '+', words: t('source.other') },
      ]}
      onChange=${(value) => {
        setOther(value === '+');
        if (value !== '+') source.set(value);
      }} />
    ${other && html`<label class="field">${t('source.name')}
      <${TypedLine} maxlength="60" list="all-sources" value=${chosen} onSaid=${(said) => {
        source.set(said);
        setOther(false);
      }} />
    </label><datalist id="all-sources">${all.map((name) => html`<option key=${name} value=${name} />`)}</datalist>`}
  </div>`;
}

function Uploads() {
  const all = uploads.use();
  const [byCorners, setByCorners] = useState(null);
  if (all.length === 0) return null;
  return html`${byCorners && html`<${Corners} upload=${byCorners} onClose=${() => setByCorners(null)} />`}<ul class="uploads plain-list">${all.map((one) => html`<li key=${one.id}>
    <p class="name">${one.name}</p>
    ${one.fault
      ? html`<${Trouble} fault=${{ ...one.fault, message: one.fault.message.replace(`${one.name}: `, '') /* it stands above */ }} again=${one.fault.code === 'page.offline' ? () => again(one) : undefined} />
        ${one.file && /no-card|half-card/.test(one.fault.code) && html`<button class="button" onClick=${() => setByCorners(one)}>${t('corners.offer')}</button>`}
        <button class="plain" onClick=${() => forget(one.id)}>${t('all.right')}</button>`
      : html`<${Sewing} done=${one.done} label=${t('photo.progress', { name: one.name })} doing=${one.doing} />
        <button class="plain" onClick=${() => one.stop()}>${t('stop')}</button>`}
  </li>`)}</ul>`;
}

/** The photos, newest first; earlier ones are fetched when asked for. */
function Piles({ before, current }) {
  const { data } = useDocument(`/api/photos${before ? `?before=${encodeURIComponent(before)}` : ''}`);
  const [more, setMore] = useState(false);
  const photos = data?.photos ?? [];
  const last = photos.at(-1)?.photo;
  return html`<ul class="piles plain-list">${photos.map((pile) => html`<li key=${pile.photo}>
  <a href=${to('scraps', String(pile.photo))} aria-current=${String(pile.photo) === current ? 'page' : undefined}>
    <${Picture} src=${`/api/photos/${encodeURIComponent(pile.photo)}/plan.jpg`} width="96" height="72" />
    <span class="grow"><strong>${pile.source || pile.name}</strong>
      <span class="quiet">${day(pile.at, 'short')}</span></span>
    <span class="amounts">${pile.lying === 0 ? t('scraps.none.left') : html`${t('scraps.n', { n: pile.lying })}
      <${Figure} guess text=${t('squares.about', { n: count(pile.squares) })} />`}</span>
  </a>
</li>`)}</ul>
  ${photos.length >= onePage && (more
    ? html`<${Piles} before=${last} current=${current} />`
    : html`<button class="plain" onClick=${() => setMore(true)}>${t('photo.earlier')}</button>`)}`;
}

/** Which fabric it is, asked in pictures; it can be left open for ever. */
function WhichFabric({ scrap }) {
  const say = (fabric, name) => change('POST', `/api/scraps/${encodeURIComponent(scrap.id)}/say`, { fabric }, {
    done: t('fabric.said', { n: scrap.number, name }),
  }).catch(() => {});
  const alike = (scrap.alike ?? []).slice(0, 3);
  const nameOf = (one) => one.name || t('fabric.some');
  return html`<h3>${t(scrap.fabric ? 'fabric.is' : 'fabric.which')}</h3>
    <div class="alike">${alike.map((one) => html`<button key=${one.fabric} aria-pressed=${one.fabric === scrap.fabric ? 'true' : 'false'}
        onClick=${() => say(String(one.fabric), nameOf(one))}>
        <${Cloth} fabric=${one} /><span>${nameOf(one)}</span>
      </button>`)}
      ${!scrap.fabric && html`<button aria-pressed="false" onClick=${() => say('new', t('fabric.new'))}>
        <${Cloth} fabric=${{ srgb: scrap.colours?.[0]?.srgb }} /><span>${t('fabric.new')}</span></button>`}
    </div>`;
}

/** What one scrap is: its picture with the cut over it, area, colours, squares. */
function ScrapSheet({ scrap, document, onClose }) {
  const system = useSystem();
  const [method, setMethod] = useState('best');
  const [cut, setCut] = useState({});
  useEffect(() => {
    const stop = new AbortController();
    const body = { scraps: [scrap.id] };
    if (method !== 'best') body.method = method;
    ask('/api/cut', body, stop.signal).then(
      (answer) => setCut({ plan: planFor(answer, scrap.id) }),
      (fault) => { if (fault.name !== 'AbortError') setCut({ fault }); },
    );
    return () => stop.abort();
  }, [scrap.id, method]);
  const thrown = scrap.state === 'thrown';
  return html`<${Sheet} title=${t('scrap.title', { n: scrap.number })} onClose=${onClose}>
    <${ScrapPicture} plan=${document.plan} scrap=${scrap} cut=${cut.plan}
      label=${t('scrap.picture', { n: scrap.number, squares: cut.plan?.squares ?? 0 })} />
    ${cut.fault && html`<${Trouble} fault=${cut.fault} />`}
    ${squaresOf(scrap) === 0 ? html`<p class="says">${t('scrap.too.small')}</p>` : html`<${Choice} name="method" legend=${t('cut.method')} value=${method} onChange=${setMethod} options=${[
      { value: 'best', words: t('cut.best') },
      { value: 'grid', words: t('cut.grid', { n: scrap.squares?.grid ?? 0 }) },
      { value: 'strips', words: t('cut.strips', { n: scrap.squares?.strips ?? 0 }) },
    ]} />`}
    ${cut.plan?.squares > 0 && html`<p class="says">${t('cut.plan', cut.plan)}</p>`}
    <${Seam} />
    <dl class="facts">
      <dt>${t('scrap.area')}</dt><dd><${Figure} guess text=${t('about', { n: area(scrap.area_sq_in, system) })} /></dd>
      ${scrap.value && html`<dt>${t('scrap.value')}</dt><dd>${t(`value.${scrap.value}`)}</dd>`}
      ${scrap.on_edge && html`<dt>${t('scrap.edge')}</dt><dd>${t('scrap.edge.says')}</dd>`}
    </dl>
    <ul class="colours plain-list">${(scrap.colours ?? []).map((colour) => html`<li key=${String(colour.srgb)}>
      <${Cloth} fabric=${{ srgb: colour.srgb }} />
      <span class="grow">${colour.name ?? t('colour.some')}</span><span>${share(colour.share)}</span>
    </li>`)}</ul>
    <${WhichFabric} scrap=${scrap} />
    <div class="row">
      ${scrap.state === 'lying' && html`<a class="button" href=${to('scraps', String(document.photo.id), 'mend', String(scrap.id))}>${t('mend')}</a>`}
      <button class="button ${thrown ? '' : 'stop'}" onClick=${() => {
        change('POST', `/api/scraps/${encodeURIComponent(scrap.id)}/${thrown ? 'keep' : 'throw'}`, {}, {
          done: t(thrown ? 'scrap.kept' : 'scrap.thrown', { n: scrap.number }),
        }).then(onClose, onClose);
      }}>${t(thrown ? 'scrap.keep' : 'scrap.throw')}</button>
    </div>
  </${Sheet}>`;
}

/** The things that a photo leaves open, as questions that can wait. */
function Questions({ warnings, onShow }) {
  if (warnings.length === 0) return null;
  return html`<details class="questions"><summary>${t('questions.n', { n: warnings.length })}</summary>
    <ul class="plain-list">${warnings.map((one) => html`<li key=${one.code + one.message}>
      <p>${translated(one.message)}</p>
      ${one.hint && html`<p class="quiet">${one.hint}</p>`}
      ${one.at_in && html`<button class="plain" onClick=${() => onShow(one.at_in)}>${t('questions.show')}</button>`}
      <p class="code">${one.code}</p>
    </li>`)}</ul>
  </details>`;
}

function Photo({ id }) {
  const { data: photo, fault } = useDocument(`/api/photos/${encodeURIComponent(id)}`);
  const data = useMended(photo);
  const system = useSystem();
  const [open, setOpen] = useState(null);
  const [shown, setShown] = useState(null);
  const view = useZoom(5);
  if (fault) return html`<${Trouble} fault=${fault} /><a class="button" href=${to('scraps')}>${t('photo.all')}</a>`;
  if (!data) return html`<${Waiting} />`;
  const scraps = lying(data.scraps);
  const cutAlready = data.scraps.filter((scrap) => scrap.state === 'cut').length;
  const thrown = data.scraps.filter((scrap) => scrap.state === 'thrown');
  const total = scraps.reduce((sum, scrap) => sum + squaresOf(scrap), 0);
  const current = open && data.scraps.find((scrap) => scrap.id === open);
  const show = (at) => {
    setShown(at);
    view.box.current?.scrollIntoView({ block: 'start' });
  };
  return html`<article class="photo">
    <div class="pictured">
      <div class="zoom" ref=${view.box} tabindex="0" role="group" aria-label=${t('plan.look')}
        onKeyDown=${(e) => {
          if (e.key === '+' || e.key === '=') view.zoomTo((z) => z * 1.6);
          if (e.key === '-') view.zoomTo((z) => z / 1.6);
        }}>
        <${Wider} zoom=${view.zoom}>
          <${PlanPicture} document=${data} zoom=${view.zoom} marks=${shown ? [shown] : []} onScrap=${(scrap) => setOpen(scrap.id)} />
        </${Wider}>
      </div>
      <${ZoomButtons} view=${view} />
    </div>
    <div class="told">
      <p class="large">${t('scraps.n', { n: scraps.length })}</p>
      <p class="middling"><${Figure} guess text=${t('squares.about', { n: count(total) })} />
        ${' '}<span class="quiet together">${[data.photo.source, day(data.photo.at)].filter(Boolean).join(', ')}</span></p>
      ${cutAlready > 0 && html`<p class="quiet">${t('photo.cut.already', { n: cutAlready })}</p>`}
      <${Asked} document=${data} onShow=${show} />
      <${Questions} warnings=${(data.warnings ?? []).filter((one) => !data.questions?.some((asked) => asked.message === one.message))} onShow=${show} />
      <${Seam} />
      <ul class="scrap-rows plain-list">${data.scraps.filter((s) => s.state !== 'thrown').map((scrap) => html`<li key=${scrap.id}>
        <button onClick=${() => setOpen(scrap.id)}>
          <span class="number">${scrap.number}</span>
          <span class="strip">${(scrap.colours ?? []).slice(0, 3).map((colour) => html`<${Cloth} key=${String(colour.srgb)} fabric=${colour} />`)}</span>
          <span class="grow">${area(scrap.area_sq_in, system)}</span>
          <span>${scrap.state === 'cut' ? t('scrap.cut') : squaresOf(scrap) > 0 ? t('squares.n', { n: squaresOf(scrap) }) : t('scrap.small')}</span>
        </button>
      </li>`)}</ul>
      ${thrown.length > 0 && html`<details><summary>${t('scraps.thrown', { n: thrown.length })}</summary>
        <div class="row">${thrown.map((scrap) => html`<button key=${scrap.id} class="button" onClick=${() => setOpen(scrap.id)}>${t('scrap.title', { n: scrap.number })}</button>`)}</div>
      </details>`}
      ${scraps.length > 0
        ? html`<div class="thumb"><a class="button main" href=${to('scraps', id, 'cut')}>${t('cut.these')}</a></div>`
        : html`<p class="quiet">${t('photo.nothing')}</p>`}
      <a class="button" href=${to('scraps', id, 'mend')}>${t('mend.all')}</a>
      <button class="plain stop" onClick=${() => {
        change('DELETE', `/api/photos/${encodeURIComponent(id)}`, undefined, { done: t('photo.gone') }).then(() => go('scraps'), () => {});
      }}>${t('photo.away')}</button>
    </div>
    ${current && html`<${ScrapSheet} scrap=${current} document=${data} onClose=${() => setOpen(null)} />`}
  </article>`;
}

/** Content as wide as the box times the zoom. It is so before anybody scrolls it: effects of
 * children come first. */
export function Wider({ zoom, children }) {
  const ref = useRef();
  useLayoutEffect(() => {
    ref.current.style.width = `${zoom * 100}%`;
  }, [zoom]);
  return html`<div class="wider" ref=${ref}>${children}</div>`;
}

export function Scraps({ rest: [id, what, which] }) {
  const wide = useWide();
  const { data, fault } = useDocument('/api/photos');
  const photos = data?.photos ?? [];
  if (id === 'pile') return html`<${Pile} />`;
  if (id === 'piece') return html`<${Piece} />`;
  if (what === 'cut') return html`<${Cut} id=${id} />`;
  if (what === 'mend') return html`<${Mend} id=${id} scrap=${which} />`;
  const shownId = id ?? (wide && photos.length > 0 ? String(photos[0].photo) : undefined);
  const left = html`<div class="pile-side">
    <div class="thumb"><${PhotoButton} main=${!(wide && shownId)} /></div>
    <${Uploads} />
    <${SourceChoice} />
    ${fault && html`<${Trouble} fault=${fault} again=${refresh} />`}
    ${photos.length > 0 && html`<${Seam} /><${Piles} current=${shownId} />
      <p><a href=${to('scraps', 'pile')}>${t('pile.sort')}</a></p>`}
    <p><a href=${to('scraps', 'piece')}>${t('piece')}</a></p>
  </div>`;
  if (data && photos.length === 0) {
    return html`<h1 tabindex="-1">${t('scraps')}</h1>
      <div class="narrow">
        <${Empty} picture=${html`<${ScrapsDrawing} />`} title=${t('scraps.empty')}>
          <p>${t('scraps.empty.how')}</p>
          <p><a href="/api/print/card.pdf" target="_blank" rel="noopener">${t('card.print')}</a></p>
        </${Empty}>
        ${left}
      </div>`;
  }
  if (!wide && id) {
    return html`<a class="back" href=${to('scraps')}>${t('photo.all')}</a>
      <h1 tabindex="-1" class="unseen">${t('photo.title')}</h1><${Photo} id=${id} key=${id} />`;
  }
  return html`<h1 tabindex="-1">${t('scraps')}</h1>
    <div class=${wide ? 'two piles-and-photo' : ''}>${left}${shownId && html`<${Photo} id=${shownId} key=${shownId} />`}</div>`;
}
