// Sew: the rows of each kind in their order, which way to press, what to cut ahead, whether
// the seam is true, and where blocks nest.
import { html, useState } from '../lib/html.js';
import { Seam, SentChoice, Stepper, Trouble, Waiting, useSettled } from '../lib/parts.js';
import { change, refresh, useDocument } from '../lib/book.js';
import { count, fine, long, share, size } from '../lib/amount.js';
import { useSystem } from '../lib/maker.js';
import { kindWords, t } from '../text/text.js';
import { quiltApi as api } from './planfacts.js';

const marks = { usual: '', 'rows-other': '↔', 'long-other': '↕', 'both-other': '✛' };
const arrows = { outward: ['←', '→'], inward: ['→', '←'], left: ['←', '←'], right: ['→', '→'], open: ['↔', '↔'] };

/** A block with its rows apart, arrows where its allowances go. */
function RowsApart({ kind }) {
  const n = kind.rows.length;
  const cell = 56;
  const gap = 18;
  const width = n * cell + 2;
  const height = n * cell + (n - 1) * gap + 2;
  const role = (piece) => (Array.isArray(piece) ? piece[0] : piece);
  return html`<svg class="sew-rows" viewBox=${`0 0 ${width} ${height}`} role="img" aria-label=${t('sew.picture', { kind: kindWords(kind.kind) })}>
    ${kind.rows.map((row, r) => row.pieces.map((piece, c) => {
      const [x, y] = [1 + c * cell, 1 + r * (cell + gap)];
      return html`<g key=${`${r},${c}`}>
        <rect class=${`sew-${role(piece)}`} x=${x} y=${y} width=${cell} height=${cell} />
        ${Array.isArray(piece) && html`<path class=${`sew-${piece[1]}`} d=${`M${x + cell} ${y}v${cell}h${-cell}Z`} />`}
        ${c > 0 && html`<text x=${x} y=${y + cell / 2} text-anchor="middle" dominant-baseline="central">${
          n % 2 ? arrows[row.press][c <= (n - 1) / 2 ? 0 : 1] : arrows[row.press][0]}</text>`}
      </g>`;
    }))}
  </svg>`;
}

function Kind({ kind }) {
  return html`<section class="sew-kind"><h3>${t('sew.kind', { kind: kindWords(kind.kind), n: kind.blocks })}</h3>
    <${RowsApart} kind=${kind} />
    <ol>${kind.rows.map((row, i) => html`<li key=${i}>${t('sew.row', { n: i + 1, pieces: row.pieces.map((one) => (Array.isArray(one) ? t('sew.triangles') : one)) })}
      ${' '}<strong>${t(`sew.press.${row.press}`)}</strong></li>`)}
      <li>${t(`sew.long.${kind.long}`)}</li></ol>
  </section>`;
}

function SeamTest({ name, test }) {
  const system = useSystem();
  const [typed, setTyped] = useState('');
  const asked = useSettled(typed, 400);
  const { data, fault } = useDocument(asked ? `${api(name, '/sew')}?${new URLSearchParams({ measured: asked })}` : null);
  const tested = asked ? data?.tested : null;
  const off = tested && fine(tested.correction_in, system);
  return html`<h2>${t('sew.test')}</h2>
    <p>${t('sew.test.says', { strip: long(test.strip_in, system, { exact: true }), wanted: long(test.wanted_in, system, { exact: true }) })}</p>
    <div class="setting"><label for="seam-measured">${t('sew.test.measured')}</label>
      <input id="seam-measured" type="text" inputmode="text" autocomplete="off" defaultValue="" onInput=${(e) => setTyped(e.target.value.trim())} /></div>
    <div role="status">${fault && asked ? html`<${Trouble} fault=${fault} />`
      : tested && html`<p><strong>${!off || tested.verdict === 'true' ? t('sew.test.true')
        : t(tested.verdict === 'too wide' ? 'sew.test.wide' : 'sew.test.narrow', { off })}</strong></p>`}</div>`;
}

function Nesting({ nesting, press }) {
  if (press === 'open') return html`<${Seam} /><h2>${t('sew.nests')}</h2><p>${t('sew.open')}</p>`;
  if (nesting.joints === 0) return null;
  const other = nesting.ways.some((row) => row.some((way) => way !== 'usual'));
  return html`<${Seam} /><h2>${t('sew.nests')}</h2>
    <p>${nesting.usual >= 1 ? t('sew.all') : t('sew.usual', { share: share(nesting.usual) })}
      ${nesting.usual < 1 && ` ${t('sew.solved', { share: share(nesting.solved) })}`}</p>
    ${nesting.usual < 1 && other && html`<details><summary>${t('sew.ways')}</summary>
      <div class="scroll" tabindex="0" role="group" aria-label=${t('sew.ways')}><table class="sew-ways"><tbody>
        ${nesting.ways.map((row, r) => html`<tr key=${r}><th scope="row">${r + 1}</th>${row.map((way, c) => html`<td key=${c}
          title=${t('sew.place', { row: r + 1, column: c + 1, way: t(`sew.way.${way}`) })}>${marks[way]}<span class="unseen">${t(`sew.way.${way}`)}</span></td>`)}</tr>`)}
      </tbody></table></div>
      <p class="quiet">${['rows-other', 'long-other', 'both-other'].map((way) => `${marks[way]} ${t(`sew.way.${way}`)}`).join(' · ')}</p></details>`}`;
}

export function Sew({ name }) {
  const system = useSystem();
  const [next, setNext] = useState(12);
  const { data, fault } = useDocument(`${api(name, '/sew')}?next=${next}`);
  if (fault && !data) return html`<${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return html`<${Waiting} />`;
  return html`<div class="narrow">
    <p class="caution">${t('sew.caution')}</p>
    ${data.next > 0 && html`<p class="quiet" aria-hidden="true">${t('sew.next')}</p><${Stepper} id="sew-next" label=${t('sew.next')} value=${next} min=${1} max=${200} onChange=${setNext} />
      <h2>${t('sew.ahead')}</h2>
      ${data.cut.length === 0 ? html`<p>${t('sew.ahead.none')}</p>` : html`<ul>${data.cut.map((one) => html`<li key=${one.role + one.for}>${
        t('sew.cut', { count: count(one.count), role: one.role, size: size([one.size_in, one.size_in], system, { exact: true }), triangles: one.for !== 'squares' })}</li>`)}</ul>`}
      <h2>${t('sew.order')}</h2><p>${t('sew.chain')}</p>
      <${SentChoice} name="sew-press" legend=${t('sew.how')} value=${data.press} options=${['side', 'open'].map((value) => ({ value, words: t(`sew.how.${value}`) }))}
        send=${(press) => change('POST', api(name, '/assembled'), { press }, { done: t('sew.said') })} />
      <div class="sew-kinds">${data.kinds.map((kind) => html`<${Kind} key=${kind.kind} kind=${kind} />`)}</div>`}
    <${Nesting} nesting=${data.nesting} press=${data.press} />
    <${Seam} /><${SeamTest} name=${name} test=${data.seam_test} />
    <${Seam} /><h2>${t('sew.keep')}</h2><p>${t('sew.keep.says')}</p>
  </div>`;
}
