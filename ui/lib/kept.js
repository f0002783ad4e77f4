// Lines of the settings: said once, kept at once, answered where they stand.
import { html, useState } from './html.js';
import { Trouble, TypedLine } from './parts.js';

/** A line of text with its words, which is kept as soon as it is left; `send` gives the promise. */
export function KeptLine({ id, words, says, value, send }) {
  const [fault, setFault] = useState(null);
  return html`<div class="setting">
    <label for=${id}>${words}</label>
    <${TypedLine} id=${id} class="short" value=${value} aria-describedby=${`${id}-says`} aria-invalid=${fault ? 'true' : undefined}
      onSaid=${(said) => send(said).then(() => setFault(null), setFault)} />
    <p class="quiet" id=${`${id}-says`}>${says}</p>
    ${fault && html`<${Trouble} fault=${fault} />`}
  </div>`;
}
