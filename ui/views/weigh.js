// Weigh instead of counting: some squares, then the pile, on the same balance.
import { html, useState } from '../lib/html.js';
import { Figure, Stepper, Trouble } from '../lib/parts.js';
import { change } from '../lib/book.js';
import { useDraft } from '../lib/draft.js';
import { count } from '../lib/amount.js';
import { t } from '../text/text.js';

export function Weigh() {
  const [{ sample, one, pile }, setHalf] = useDraft('weigh', { sample: 20, one: '', pile: '' });
  const set = (more) => setHalf((now) => ({ ...now, ...more }));
  const [answer, setAnswer] = useState({});
  const act = async (event) => {
    event.preventDefault();
    try {
      const basket = await change('POST', '/api/basket/weigh', {
        sample, sample_weight: one.trim().replace(',', '.'), pile_weight: pile.trim().replace(',', '.'),
      }, { done: t('weigh.done'), quiet: true });
      setAnswer({ weighed: basket.weighed });
      setHalf(undefined);
    } catch (fault) {
      setAnswer({ fault });
    }
  };
  return html`<form onSubmit=${act}>
    <p>${t('weigh.says')}</p>
    <div class="field"><span aria-hidden="true">${t('weigh.sample')}</span>
      <${Stepper} label=${t('weigh.sample')} value=${sample} min=${1} max=${1000} onChange=${(n) => set({ sample: n })} /></div>
    <div class="fields">
      <label class="field">${t('weigh.one', { n: sample })}
        <input type="text" inputmode="decimal" autocomplete="off" value=${one} onInput=${(e) => set({ one: e.currentTarget.value })} /></label>
      <label class="field">${t('weigh.pile')}
        <input type="text" inputmode="decimal" autocomplete="off" value=${pile} onInput=${(e) => set({ pile: e.currentTarget.value })} /></label>
    </div>
    ${answer.fault && html`<${Trouble} fault=${answer.fault} />`}
    <button class="button" disabled=${!one.trim() || !pile.trim()}>${t('weigh.do')}</button>
    ${answer.weighed && html`<p class="middling" role="status"><${Figure} guess text=${t('about', { n: count(answer.weighed.squares) })} />
      ${' '}${t('weigh.range', { low: count(answer.weighed.low), high: count(answer.weighed.high) })}</p>`}
  </form>`;
}
