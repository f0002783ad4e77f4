// "What does a photo say to this?": one picture sent, how far it is, and what came of it.
import { html, useState } from './html.js';
import { Sewing, Trouble } from './parts.js';
import { photograph } from './photos.js';

/** A button that takes a photo to `path`; onAnswer gets null as it sets out, then the result. */
export function AskPhoto({ path, label, looking, onAnswer }) {
  const [work, setWork] = useState(null);
  const [fault, setFault] = useState(null);
  const send = async (file) => {
    setFault(null);
    onAnswer(null);
    setWork({ done: 0 });
    try {
      onAnswer(await photograph(path, file, ({ done }) => setWork({ done }), () => {}));
    } catch (trouble) {
      if (trouble.name !== 'AbortError') setFault(trouble);
    }
    setWork(null);
  };
  return html`<label class="button"><input class="unseen" type="file" accept="image/jpeg,image/png" onChange=${(e) => {
      const [file] = e.currentTarget.files;
      e.currentTarget.value = '';
      if (file) send(file);
    }} /><span>${label}</span></label>
    ${work && html`<${Sewing} done=${work.done} label=${looking} doing=${looking} />`}
    ${fault && html`<${Trouble} fault=${fault} />`}`;
}
