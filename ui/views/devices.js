// The devices that may use the book: pairing one by a code on the screen, and letting one
// in no more.
import { html, useEffect, useState } from '../lib/html.js';
import { Choice, SentChoice, Trouble } from '../lib/parts.js';
import { change, refresh, useDocument } from '../lib/book.js';
import { day } from '../lib/amount.js';
import { opens } from '../lib/opens.js';
import { t } from '../text/text.js';

/** The code as one path: a square for each dark module, four light ones around. */
function Code({ rows, address }) {
  const quiet = 4;
  const side = rows.length + 2 * quiet;
  const dark = rows.flatMap((row, r) => [...row].flatMap((module, c) => (module === '1' ? [`M${c + quiet} ${r + quiet}h1v1h-1z`] : [])));
  return html`<svg class="qr" viewBox=${`0 0 ${side} ${side}`} role="img" aria-label=${t('devices.code', { address })} shape-rendering="crispEdges">
    <path class="light" d=${`M0 0h${side}v${side}H0z`} /><path class="dark" d=${dark.join('')} />
  </svg>`;
}

/** Seconds until then, counted down. */
function useLeft(until) {
  const left = () => Math.max(0, Math.round((new Date(until) - Date.now()) / 1000));
  const [seconds, set] = useState(left);
  useEffect(() => {
    set(left());
    const timer = setInterval(() => set(left()), 1000);
    return () => clearInterval(timer);
  }, [until]);
  return seconds;
}

function Pairing({ offer, count, onEnd }) {
  const seconds = useLeft(offer.expires);
  const [before] = useState(count);
  useEffect(() => {
    if (count > before) onEnd(); // it has come
  }, [count]);
  if (seconds === 0) return html`<p class="notice ask" role="status">${t('devices.over')}</p>`;
  return html`<div class="pairing">
    <${Code} rows=${offer.qr} address=${offer.addresses[0]} />
    <p>${t('devices.scan', { minutes: Math.ceil(seconds / 60) })}</p>
    <details><summary>${t('devices.type')}</summary><ul class="plain-list">${offer.addresses.map((one) => html`<li key=${one} class="path">${one}</li>`)}</ul></details>
  </div>`;
}

/** Whether phones and tablets reach this book at all. It is said at the computer itself, for
 *  a phone that said no would be the first to be shut out. */
function Network({ network }) {
  const here = /^(localhost|127\.0\.0\.1|\[::1\])$/.test(location.hostname);
  if (network === 'always') return html`<p class="quiet">${t('devices.network.always')}</p>`;
  if (!here) return null;
  return html`<${SentChoice} name="network" legend=${t('devices.network')} value=${network}
      send=${(next) => change('PUT', '/api/settings', { network: next }, { done: t(`devices.network.${next}.done`) })}
      options=${['off', 'on'].map((value) => ({ value, words: t(`devices.network.${value}`) }))} />
    <p class="quiet">${t('devices.network.says')}</p>`;
}

export function Devices() {
  const { data, fault } = useDocument('/api/devices');
  const [offer, setOffer] = useState(null);
  const [trouble, setTrouble] = useState(null);
  const opening = opens.use();
  const name = (one) => one.name.replace(/^(phone|tablet|computer|device)\b/, (kind) => t(`devices.${kind}`));
  if (fault) return html`<h2>${t('devices.title')}</h2><${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return null;
  return html`<h2>${t('devices.title')}</h2>
    <p class="quiet">${t('devices.says')}</p>
    <${Network} network=${data.network} />
    ${data.devices.length > 0 && html`<ul class="plain-list devices">${data.devices.map((one) => html`<li key=${one.device} class="row">
      <span class="grow"><strong>${name(one)}</strong>${one.here && html` (${t('devices.here')})`}<br /><span class="quiet">${t('devices.since', { day: day(one.paired) })}${one.seen && `, ${t('devices.seen', { day: day(one.seen) })}`}</span></span>
      <button class="plain" aria-label=${t('devices.drop.one', { name: name(one) })} onClick=${() => change('DELETE', `/api/devices/${one.device}`, undefined, {
        done: t('devices.dropped', { name: name(one) }), undo: false,
      }).catch(() => {})}>${t('devices.drop')}</button>
    </li>`)}</ul>`}
    ${offer && html`<${Pairing} key=${offer.expires} offer=${offer} count=${data.devices.length} onEnd=${() => setOffer(null)} />`}
    ${trouble && html`<${Trouble} fault=${trouble} />`}
    ${data.network !== 'off' && html`<p><button class="button" onClick=${() => change('POST', '/api/pair', {}, { quiet: true }).then((it) => { setTrouble(null); setOffer(it); }, setTrouble)}>${t(offer ? 'devices.again' : 'devices.pair')}</button></p>`}
    <${Choice} name="opens" legend=${t('devices.opens')} value=${opening} onChange=${(next) => opens.set(next)}
      options=${['last', 'photo', 'next'].map((value) => ({ value, words: t(`devices.opens.${value}`) }))} />`;
}
