// Cut these: what the ruler will give, what she really got, and into the basket.
import { html, useEffect, useMemo, useState } from '../lib/html.js';
import { Choice, Seam, Stepper, Trouble, Waiting } from '../lib/parts.js';
import { ScrapPicture, planFor } from '../lib/plan.js';
import { ask, change, refresh, useDocument } from '../lib/book.js';
import { unit as unitWords } from '../lib/amount.js';
import { go, to } from '../lib/route.js';
import { t } from '../text/text.js';

const minutes = (n) => t('minutes.about', { n: Math.max(1, Math.round(n)) });

export function Cut({ id }) {
  const { data: photo, fault } = useDocument(`/api/photos/${encodeURIComponent(id)}`);
  const [method, setMethod] = useState('best');
  const [answer, setAnswer] = useState({});
  const [got, setGot] = useState({}); // scrap id -> squares that she really got
  const [left, setLeft] = useState({}); // scrap id -> true: not cutting this one today
  const [busy, setBusy] = useState(false);

  const scraps = useMemo(() => (photo?.scraps ?? []).filter((scrap) => (scrap.state ?? 'lying') === 'lying'), [photo]);
  const ids = scraps.map((scrap) => scrap.id).join();
  useEffect(() => {
    if (!ids) return;
    const body = { scraps: scraps.map((scrap) => scrap.id) };
    if (method !== 'best') body.method = method;
    ask('/api/cut', body).then((cut) => setAnswer({ cut }), (trouble) => setAnswer({ trouble }));
  }, [ids, method]);

  const back = html`<a class="back" href=${to('scraps', id)}>${t('photo.back')}</a>`;
  if (fault) return html`${back}<h1 tabindex="-1">${t('cut.title')}</h1><${Trouble} fault=${fault} again=${refresh} />`;
  if (!photo || (!answer.cut && !answer.trouble && ids)) return html`${back}<h1 tabindex="-1">${t('cut.title')}</h1><${Waiting} />`;
  if (answer.trouble) return html`${back}<h1 tabindex="-1">${t('cut.title')}</h1><${Trouble} fault=${answer.trouble} />`;

  const all = scraps.map((scrap) => {
    const plan = planFor(answer.cut, scrap.id);
    return { scrap, plan, squares: got[scrap.id] ?? plan?.squares ?? 0 };
  });
  const rows = all.filter(({ plan }) => plan?.squares > 0);
  const small = all.length - rows.length;
  const kept = rows.filter(({ scrap }) => !left[scrap.id]);
  const total = kept.reduce((sum, row) => sum + row.squares, 0);
  const put = async () => {
    setBusy(true);
    try {
      await change('POST', '/api/cut/done', {
        scraps: kept.map(({ scrap, squares }) => ({ scrap: scrap.id, squares })),
      }, { done: t('cut.in.basket', { n: total }) });
      go('basket');
    } catch { /* it has been said; nothing is lost here */ }
    setBusy(false);
  };
  return html`${back}
    <h1 tabindex="-1">${t('cut.title')}</h1>
    <div class="cutting">
      <p class="middling">${t('cut.promise', { n: rows.reduce((sum, { plan }) => sum + plan.squares, 0), unit: unitWords(answer.cut?.unit_in ?? 2.5) })}
        ${answer.cut?.total?.minutes > 0 && html`<span class="quiet">${' '}${minutes(answer.cut.total.minutes)}</span>`}</p>
      <p class="caution">${t('caution.cutter')}</p>
      <${Choice} name="method" legend=${t('cut.method')} value=${method} onChange=${(next) => { setMethod(next); setGot({}); }} options=${[
        { value: 'best', words: t('cut.best') },
        { value: 'grid', words: t('cut.grid.all') },
        { value: 'strips', words: t('cut.strips.all') },
      ]} />
      <${Seam} />
      <ol class="cut-rows plain-list">${rows.map(({ scrap, plan, squares }) => html`<li key=${scrap.id} class=${left[scrap.id] ? 'left' : ''}>
        <${ScrapPicture} plan=${photo.plan} scrap=${scrap} cut=${plan} label=${t('scrap.picture', { n: scrap.number, squares: plan?.squares ?? 0 })} />
        <div class="grow">
          <h2>${t('scrap.title', { n: scrap.number })}</h2>
          ${plan && html`<p class="says">${t('cut.plan', plan)}</p>`}
          ${left[scrap.id]
            ? html`<button class="plain" onClick=${() => setLeft({ ...left, [scrap.id]: false })}>${t('cut.take.in')}</button>`
            : html`<div class="row">
              <span class="quiet" aria-hidden="true">${t('cut.got')}</span>
              <${Stepper} label=${t('cut.got.for', { n: scrap.number })} value=${squares} max=${999}
                onChange=${(n) => setGot({ ...got, [scrap.id]: n })} />
              <button class="plain" onClick=${() => setLeft({ ...left, [scrap.id]: true })}>${t('cut.leave')}</button>
            </div>`}
        </div>
      </li>`)}</ol>
      ${small > 0 && html`<p class="quiet">${t('cut.small', { n: small, unit: unitWords(answer.cut?.unit_in ?? 2.5) })}</p>`}
      ${rows.length === 0
        ? html`<p>${t(small > 0 ? 'cut.none' : 'photo.nothing')}</p>`
        : html`<div class="thumb"><button class="button main" onClick=${put} disabled=${busy || kept.length === 0}>
          ${t('cut.put', { n: total })}</button></div>`}
    </div>`;
}
