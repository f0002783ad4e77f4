// Views that are fetched when they are first wanted, so that the page itself stays small.
import { html, useEffect, useState } from './html.js';
import { Trouble, Waiting } from './parts.js';
import { awayFault, offline } from './call.js';
import { learn } from '../text/text.js';

/** A view of a module that is not here yet: `load` imports it and gives the view, `area` names
 *  its words (ui/text/LANGUAGE-AREA.js), which come with it. `ahead()` fetches both before
 *  they are wanted. */
export function later(load, area) {
  let View;
  const bring = () => Promise.all([load(), area && learn(area)]).then(([it]) => { View = it; });
  function Later(props) {
    const [late, redraw] = useState(0);
    const [fault, setFault] = useState(null);
    const away = offline.use();
    const fetch = () => bring().then(() => { setFault(null); redraw(1); }, () => {
      offline.set(true);
      setFault(awayFault());
    });
    useEffect(() => { if (fault && !away) fetch(); }, [away]); // it is back
    const drawn = View; // it may come ahead between this drawing and its effect
    useEffect(() => { if (!drawn) fetch(); }, []);
    // A view is read from its heading, also when it comes a moment after its address.
    useEffect(() => {
      if (late && document.activeElement === document.body) document.querySelector('main h1')?.focus({ preventScroll: true });
    }, [late]);
    if (fault) return html`<${Trouble} fault=${fault} again=${fetch} />`;
    return View ? html`<${View} ...${props} />` : html`<${Waiting} />`;
  }
  Later.ahead = () => View || bring().catch(() => {}); // wanted and still away, it says so
  return Later;
}

/** Does something when the browser has nothing better to do. */
export const whenIdle = (run) => (globalThis.requestIdleCallback ?? ((late) => setTimeout(late, 300)))(run); // Safari has none
