// One picture for the program: picked, sent, how far it is, and what comes of it.
import { html, useState } from './html.js';
import { Sewing, Trouble } from './parts.js';
import { photograph } from './photos.js';

/** A button that takes a photo or picks one. */
export const PickPhoto = ({ label, main = false, onPhoto }) => html`<label class=${main ? 'button main' : 'button'}>
  <input class="unseen" type="file" accept="image/jpeg,image/png" onChange=${(e) => {
    const [file] = e.currentTarget.files;
    e.currentTarget.value = '';
    if (file) onPhoto(file);
  }} /><span>${label}</span></label>`;

/** Hook: `send(path, file)` gives what the program makes of a photo, or nothing where that went
 *  wrong or was stopped; `work` is { done, doing, stop } meanwhile, `fault` what went wrong. */
export function useSending() {
  const [work, setWork] = useState(null);
  const [fault, setFault] = useState(null);
  const update = (more) => setWork((now) => now && { ...now, ...more });
  const send = async (path, file) => {
    setFault(null);
    setWork({ done: 0 });
    try {
      return await photograph(path, file, update, (stop) => update({ stop }));
    } catch (trouble) {
      if (trouble.name !== 'AbortError') setFault(trouble);
      return undefined;
    } finally {
      setWork(null);
    }
  };
  return { send, work, fault };
}

/** "What does a photo say to this?": onAnswer gets null as it sets out, then the result. */
export function AskPhoto({ path, label, looking, onAnswer }) {
  const { send, work, fault } = useSending();
  const ask = async (file) => {
    onAnswer(null);
    const answer = await send(path, file);
    if (answer) onAnswer(answer);
  };
  return html`<${PickPhoto} label=${label} onPhoto=${ask} />
    ${work && html`<${Sewing} done=${work.done} label=${looking} doing=${looking} />`}
    ${fault && html`<${Trouble} fault=${fault} />`}`;
}
