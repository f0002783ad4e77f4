// Blocks by photo: which were found, what is unsure about them, how large they came out;
// and for blocks that are known, where each one goes.
import { html, useEffect, useRef, useState } from '../lib/html.js';
import { Cloth, Picture, Seam, Sewing, Trouble } from '../lib/parts.js';
import { change, refresh } from '../lib/book.js';
import { PickPhoto, useSending } from '../lib/askphoto.js';
import { useDraft } from '../lib/draft.js';
import { fine } from '../lib/amount.js';
import { useSystem } from '../lib/maker.js';
import { to } from '../lib/route.js';
import { kindWords, translated, t } from '../text/text.js';
import { quiltApi as api } from './planfacts.js';

const arrows = ['', '↻', '↷↷', '↺'];

/** The photo itself, each block's edge sewn over it with what is said of it. After a reload the
 *  photo is gone, for only its answer is kept: then the edges stand alone. */
function Shown({ url, photo, blocks, words }) {
  const { width_px: width, height_px: height } = photo;
  const large = Math.max(width, height) / 38;
  return html`<figure class="seen-blocks">
    <svg viewBox=${`0 0 ${width} ${height}`} role="img" aria-label=${blocks.map(words).join('; ')}>
      ${url && html`<image href=${url} width=${width} height=${height} />`}
      ${blocks.map((block, i) => {
        const [a, b, c, d] = block.corners_px;
        const middle = [0, 1].map((k) => (a[k] + b[k] + c[k] + d[k]) / 4);
        return html`<g key=${i}>
          <path class="edge" d=${`M${[a, b, c, d].map((p) => p.join(' ')).join('L')}Z`} />
          <text class="halo" x=${middle[0]} y=${middle[1]} font-size=${large} text-anchor="middle" dominant-baseline="central">${block.label}</text>
          <text x=${middle[0]} y=${middle[1]} font-size=${large} text-anchor="middle" dominant-baseline="central">${block.label}</text>
        </g>`;
      })}
    </svg>
  </figure>`;
}

/** One unsure patch: the three likeliest as pictures, a new fabric, never mind. */
function Ask({ block, patch, row, column, onSaid }) {
  const [busy, setBusy] = useState(false);
  const answer = (fabric) => {
    setBusy(true);
    change('POST', `/api/blocks/${block}/patch`, { place: patch.place, part: patch.part, fabric }, { done: t('blocks.settled') })
      .then(onSaid, () => setBusy(false));
  };
  return html`<li><p><span class="seen-cloth" ref=${(it) => it?.style.setProperty('--cloth', `rgb(${patch.srgb.join(' ')})`)}></span>
      ${t('blocks.patch', { row: row + 1, column: column + 1 })}</p>
    <div class="alike">${patch.likely.map((one) => html`<button key=${one.fabric} disabled=${busy} onClick=${() => answer(one.fabric)}>
        <${Cloth} fabric=${one} /><span class="unseen">${t('blocks.this', { name: one.name })}</span></button>`)}
      <button disabled=${busy} onClick=${() => answer('new')}>${t('blocks.new')}</button>
      <button disabled=${busy} onClick=${onSaid}>${t('blocks.mind')}</button>
    </div></li>`;
}

const askOf = (block, patch) => `${block.block} ${patch.place} ${patch.part}`;

function Made({ block, said, onSaid }) {
  const system = useSystem();
  const asked = block.patches.flatMap((line, row) => line.flatMap((patch, column) => [patch, patch.other].map((one) => ({ patch: one, row, column })))).filter(({ patch }) => patch?.ask && !said.includes(askOf(block, patch)));
  const [row, column] = block.place ?? [];
  const place = t('blocks.one', { kind: kindWords(block.kind), row, column });
  return html`<li class="seen-block">
    <${Picture} src=${`/api/blocks/${block.block}/picture.jpg`} alt=${t('blocks.picture', { place })} />
    <div><h3>${place}</h3>
      ${block.tapped_before && html`<p class="quiet">${t('blocks.tapped')}</p>`}
      <p class=${block.size === 'fits' ? 'quiet' : ''}>${t(`blocks.size.${block.size}`, { off: fine(block.off_sixteenths / 16, system) })}</p>
      ${asked.length > 0 && html`<details><summary>${t('blocks.ask', { n: asked.length })}</summary>
        <ul class="plain-list">${asked.map(({ patch, row: r, column: c }) => html`<${Ask} key=${2 * patch.place + patch.part} block=${block.block} patch=${patch} row=${r} column=${c} onSaid=${() => onSaid(askOf(block, patch))} />`)}</ul></details>`}
    </div></li>`;
}

const sizesSay = ({ off_in: off, row_in: row, seam_in: seam }, system) => [
  fine(off, system) ? t(off < 0 ? 'blocks.small' : 'blocks.large', { off: fine(off, system) }) : t('blocks.right'),
  fine(row, system) && t(row < 0 ? 'blocks.row.short' : 'blocks.row.long', { off: fine(row, system) }),
  t('blocks.seams', { seam: system === 'metric' ? `${(seam * 25.4).toFixed(1)} mm` : `${seam.toFixed(3)} in` }),
].filter(Boolean).join(' ');

function CrossedOff({ result, url, said, onSaid }) {
  const system = useSystem();
  const { made, again, unsure, sizes, warnings, photo } = result;
  const label = (block) => (block.place ? block.place.join(', ') : '✓');
  const all = [
    ...made.map((block) => ({ ...block, label: label(block) })),
    ...again.map((block) => ({ ...block, label: '✓' })),
    ...unsure.map((block) => ({ ...block, label: '?' })),
  ];
  return html`<h2>${made.length > 0 ? t('blocks.made', { n: made.length }) : t('blocks.none')}</h2>
    ${again.length > 0 && html`<p>${t('blocks.again', { n: again.length })}</p>`}
    ${warnings.map((one) => html`<p key=${one.code} class="notice ask">${translated(one.message)}</p>`)}
    ${all.length > 0 && html`<${Shown} url=${url} photo=${photo} blocks=${all} words=${(block) => `${kindWords(block.kind)} ${block.label}`} />`}
    ${sizes && html`<h3>${t('blocks.sizes')}</h3><p>${sizesSay(sizes, system)}</p>`}
    ${unsure.length > 0 && html`<h3>${t('blocks.not')}</h3><ul>${unsure.map((block, i) => html`<li key=${i}>${t(`blocks.why.${block.why.code.replace('block.', '')}`)}</li>`)}</ul>`}
    <ul class="plain-list">${made.map((block) => html`<${Made} key=${block.block} block=${block} said=${said} onSaid=${onSaid} />`)}</ul>`;
}

function Places({ result, url }) {
  const { blocks, unsure, photo } = result;
  const words = ({ place, turn }) => (place ? t('blocks.goes', { row: place[0], column: place[1], turn }) : t('blocks.loose'));
  const all = [
    ...blocks.map((block) => ({ ...block, label: block.place ? `${block.place.join(', ')} ${arrows[block.turn]}` : '–' })),
    ...unsure.map((block) => ({ ...block, label: '?' })),
  ];
  return html`<h2>${t('blocks.where')}</h2>
    ${all.length > 0 && html`<${Shown} url=${url} photo=${photo} blocks=${all} words=${words} />`}
    ${unsure.length > 0 && html`<p>${t('blocks.unknown', { n: unsure.length })}</p>`}
    <ol>${blocks.map((block) => html`<li key=${block.block}>${words(block)}</li>`)}</ol>`;
}

export function Blocks({ name }) {
  const { send, work, fault } = useSending();
  const [shown, setShown] = useDraft(`blocks ${name}`, null); // { what, result, said: asks that were answered }
  const url = useRef(null);
  useEffect(() => () => URL.revokeObjectURL(url.current), []);

  const bring = (what) => async (file) => {
    const result = await send(api(name, `/${what}.photo`), file);
    if (!result) return;
    URL.revokeObjectURL(url.current);
    url.current = URL.createObjectURL(file);
    setShown({ what, result, said: [] });
    refresh();
  };
  const doing = work?.doing === undefined ? t('blocks.sending') : work.doing || t('blocks.looking');

  return html`<div class="narrow">
    <p>${t('blocks.take.says')}</p>
    ${work ? html`<${Sewing} done=${work.done} doing=${doing} label=${doing} />
        <button class="button" onClick=${() => work.stop?.()}>${t('blocks.stop')}</button>`
    : html`<div class="row"><${PickPhoto} label=${t('blocks.take')} main onPhoto=${bring('made')} /><${PickPhoto} label=${t('blocks.where')} onPhoto=${bring('place')} /></div>
        <p class="quiet">${t('blocks.where.says')}</p>`}
    ${fault && html`<${Trouble} fault=${fault} />`}
    ${shown && html`<${Seam} />${shown.what === 'made'
      ? html`<${CrossedOff} key=${url.current} result=${shown.result} url=${url.current} said=${shown.said}
          onSaid=${(one) => setShown((now) => ({ ...now, said: [...now.said, one] }))} />`
      : html`<${Places} key=${url.current} result=${shown.result} url=${url.current} />`}`}
    <p><a class="button" href=${to('quilts', name)} onClick=${() => setShown(undefined)}>${t('blocks.close')}</a></p>
  </div>`;
}
