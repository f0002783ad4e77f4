// The copies of the book that lie beside it: what there is, taking one back, and looking the
// book over. Of a damaged book, what is damaged in it.
import { html, useState } from '../lib/html.js';
import { Trouble } from '../lib/parts.js';
import { ask, refresh, say, useDocument } from '../lib/book.js';
import { follow } from '../lib/photos.js';
import { count, day } from '../lib/amount.js';
import { t } from '../text/text.js';

const shownAtFirst = 4;

const kind = (one) => {
  if (one.daily) return t('copies.daily');
  return t(one.copy.startsWith('before-restore') ? 'copies.before.restore' : 'copies.before.upgrade');
};

/** The day that a daily copy is named by; the others are as old as their file. */
const when = (one) => day(one.daily ? one.copy : one.written);

function Copy({ one, busy, onTake }) {
  return html`<li class="row">
    <span class="grow"><strong>${when(one)}</strong><br /><span class="quiet">${kind(one)}, ${t('copies.size', { n: count(Math.max(1, Math.round(one.bytes / 1e6))) })}</span></span>
    <button class="plain" disabled=${busy !== null} aria-label=${t('copies.take.one', { day: when(one), kind: kind(one) })} onClick=${() => onTake(one)}>${t(busy === one.copy ? 'copies.taking' : 'copies.take')}</button>
  </li>`;
}

export function Copies() {
  const { data, fault } = useDocument('/api/copies');
  const [busy, setBusy] = useState(null);
  const [trouble, setTrouble] = useState(null);
  const run = async (what, path, done) => {
    setBusy(what);
    setTrouble(null);
    try {
      const { job } = await ask(path, {});
      await follow(job);
      say(done);
    } catch (wrong) {
      // What is damaged stands in the list above once it is known.
      if (what !== 'check' || wrong.code !== 'store.damaged') setTrouble(wrong);
    }
    setBusy(null);
    refresh();
  };
  const take = (one) => run(one.copy, `/api/copies/${encodeURIComponent(one.copy)}/restore`, t('copies.taken', { day: when(one) }));
  if (fault) return html`<h2>${t('copies.title')}</h2><${Trouble} fault=${fault} again=${refresh} />`;
  if (!data) return null;
  const list = (some) => html`<ul class="plain-list devices">${some.map((one) => html`<${Copy} key=${one.copy} one=${one} busy=${busy} onTake=${take} />`)}</ul>`;
  const more = data.copies.slice(shownAtFirst);
  return html`<h2 id="copies">${t('copies.title')}</h2>
    ${data.damage && html`<div class="notice ask"><p><strong>${t('copies.damaged')}</strong> ${t('copies.damaged.says')}</p>
      <details><summary>${t('copies.faults', { n: data.damage.length })}</summary><ul>${data.damage.map((one) => html`<li key=${one} lang="en">${one}</li>`)}</ul></details></div>`}
    <p class="quiet">${t(data.copies.length > 0 ? 'copies.says' : 'copies.none')}</p>
    ${data.copies.length > 0 && list(data.copies.slice(0, shownAtFirst))}
    ${more.length > 0 && html`<details><summary>${t('copies.more', { n: more.length })}</summary>${list(more)}</details>`}
    ${trouble && html`<${Trouble} fault=${trouble} />`}
    <p><button class="button" disabled=${busy !== null} onClick=${() => run('check', '/api/check', t('copies.sound'))}>${t(busy === 'check' ? 'copies.looking' : 'copies.look')}</button></p>`;
}
