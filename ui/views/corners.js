// A photo without a card, measured by a sheet of paper in it: its four corners, marked on
// the picture, which is still here in the browser.
import { html, useEffect, useMemo, useRef, useState } from '../lib/html.js';
import { Choice, Sheet, Trouble, useWidth } from '../lib/parts.js';
import { Handles, Loupe, pixelOf } from '../lib/handles.js';
import { bringByCorners } from '../lib/photos.js';
import { useSettings } from '../lib/maker.js';
import { t } from '../text/text.js';

/** Where the marks lie before she has put them: a quarter in from the edges. */
const start = ([width, height]) => [[0.25, 0.25], [0.75, 0.25], [0.75, 0.75], [0.25, 0.75]].map(([x, y]) => [x * width, y * height]);

/** upload: what failed, with its file. */
export function Corners({ upload, onClose }) {
  const settings = useSettings();
  const [size, setSize] = useState(null);
  const [corners, setCorners] = useState([]);
  const [chosen, choose] = useState(null);
  const [fault, setFault] = useState(null);
  const [paper, setPaper] = useState(null);
  const [other, setOther] = useState('');
  const frame = useRef();
  const svg = useRef();
  const loupe = useRef();
  const sheet = useRef([]);
  const url = useMemo(() => URL.createObjectURL(upload.file), [upload.file]);
  useEffect(() => () => URL.revokeObjectURL(url), [url]);
  const width = useWidth(frame);
  const same = (p) => p;
  const k = size ? size[0] / (width || 360) : 1;
  const shape = (points) => `M${points.map((p) => p.map(Math.round).join(' ')).join('L')}Z`;
  const put = (i, point) => setCorners((all) => all.map((p, j) => (j === i ? point : p)));
  const chosenPaper = paper ?? (settings?.paper === 'letter' ? 'letter' : 'a4');
  const measure = () => {
    const text = chosenPaper === 'other' ? other.trim() : chosenPaper;
    if (!text) {
      setFault({ code: 'page.no-size', message: t('corners.size.none'), hint: t('corners.size.hint') });
      return;
    }
    bringByCorners(upload, corners.map((p) => p.map(Math.round).join(',')).join(' '), text);
    onClose();
  };
  const line = (first, className) => html`<path class=${className} d=${shape(corners)} ref=${(it) => { sheet.current[first] = it; }} />`;
  return html`<${Sheet} title=${t('corners.title')} onClose=${onClose}>
    <p>${t('corners.how')}</p>
    <div class="plan corners" ref=${frame}>
      <img src=${url} alt=${t('corners.picture', { name: upload.name })} onLoad=${(e) => {
        const natural = [e.currentTarget.naturalWidth, e.currentTarget.naturalHeight];
        setSize(natural);
        setCorners(start(natural));
      }} onError=${() => setFault({ code: 'page.no-picture', message: t('corners.unreadable'), hint: t('photo.heic.hint') })} />
      ${size && html`<svg ref=${svg} viewBox=${`0 0 ${size[0]} ${size[1]}`} role="group" aria-label=${t('corners.marks')}
        onClick=${(e) => {
          if (chosen === null) return;
          put(chosen, pixelOf(svg.current, e));
          choose(chosen < 3 ? chosen + 1 : null);
        }}>
        <g class="outline">${line(0, 'under')}${line(1, 'over')}</g>
        <${Handles} points=${corners} at=${same} from=${(e) => pixelOf(svg.current, e)} k=${k} step=${k} up=${-1} chosen=${chosen} choose=${choose} loupe=${loupe}
          onDrag=${(i, point) => {
            const now = shape(corners.map((p, j) => (j === i ? point : p)));
            for (const one of sheet.current) one?.setAttribute('d', now);
          }}
          onMove=${(i, point) => put(i, point)} />
      </svg>`}
      ${size && html`<${Loupe} loupe=${loupe} href=${url} width=${size[0]} height=${size[1]}><g class="outline">${line(2, 'under')}${line(3, 'over')}</g></${Loupe}>`}
    </div>
    <${Choice} name="sheet" legend=${t('corners.size')} value=${chosenPaper} onChange=${setPaper} options=${[
      { value: 'a4', words: t('settings.paper.a4') }, { value: 'letter', words: t('settings.paper.letter') }, { value: 'other', words: t('corners.other') },
    ]} />
    ${chosenPaper === 'other' && html`<label class="field">${t('corners.other.says')}
      <input type="text" maxlength="40" value=${other} onInput=${(e) => setOther(e.currentTarget.value)} /></label>`}
    <p class="quiet">${t('corners.wider')}</p>
    ${fault && html`<${Trouble} fault=${fault} />`}
    <div class="thumb"><button class="button main" disabled=${!size} onClick=${measure}>${t('corners.measure')}</button></div>
  </${Sheet}>`;
}
