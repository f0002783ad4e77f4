// The focus is never lost: where what had it goes away or cannot be pressed any more, it goes to
// what lies next to it, so that who works by keys or by ear goes on from there.

const patience = 700; // ms that a button may be off before the focus goes elsewhere
const soon = 40; // ms: what takes its place is drawn by then

// No lines of text: on a phone they bring up the keys. Nothing that takes away: a second press
// of the key must not do that.
const stops = 'button:not(.stop), a[href], summary, select, input[type="checkbox"], input[type="radio"], [tabindex="0"]';

let held = null; // what had the focus last, unless she left it herself
let path = []; // what it lies in, from within: { node, index }, the place in that node
let earlier = []; // what had it before, the last one last
let off = null; // since when it has been switched off
let byHand = false; // she points; then nothing scrolls
let waiting = null;

const inView = (it) => it.isConnected && it.getClientRects().length > 0;
const canHave = (it) => inView(it) && !it.matches(':disabled') && !it.closest('[inert]');
const isText = (it) => it.matches('input:not([type="checkbox"], [type="radio"], [type="file"]), textarea');

const give = (it) => {
  off = null;
  it.focus({ preventScroll: byHand });
  return document.activeElement === it;
};

function next() {
  const page = document.getElementById('page');
  for (const { node, index } of path) {
    if (node === page || node.id === 'main') break;
    if (!inView(node)) continue;
    const all = [...node.querySelectorAll(stops)].filter((it) => it !== held && canHave(it));
    const childOf = (it) => {
      while (it.parentNode !== node) it = it.parentNode;
      return [...node.childNodes].indexOf(it);
    };
    const it = all.find((one) => childOf(one) >= index) ?? all.at(-1);
    if (it) return it;
  }
  return earlier.findLast(canHave) ?? document.querySelector('main h1'); // in a view that is still on its way none
}

function look() {
  waiting = null;
  if (!held || (document.activeElement !== document.body && document.activeElement !== held)) return;
  if (inView(held) && held.matches(':disabled')) {
    off ??= performance.now();
    const left = off + patience - performance.now();
    if (left > 0) {
      waiting = setTimeout(look, left);
      return;
    }
  } else if (document.activeElement === held) {
    off = null;
    return;
  } else if (inView(held) && (off !== null || !isText(held))) {
    give(held); // it was off for a moment, or moved
    return;
  } else if (inView(held)) return;
  const it = next();
  if (it) give(it);
}

addEventListener('focusin', ({ target }) => {
  if (held && held !== target) earlier = [...earlier.filter((it) => it !== held && it.isConnected), held].slice(-8);
  held = target;
  off = null;
  path = [];
  for (let it = target; it.parentNode instanceof Element; it = it.parentNode) path.push({ node: it.parentNode, index: [...it.parentNode.childNodes].indexOf(it) });
});
addEventListener('pointerdown', () => {
  byHand = true;
  held = null;
}, true);
addEventListener('keydown', (e) => {
  byHand = false;
  // Tab may lead out of the page, which is no loss.
  if (e.key === 'Tab') setTimeout(() => { if (document.activeElement === document.body) held = null; });
}, true);
addEventListener('hashchange', () => { earlier = []; }); // another view begins at its heading
new MutationObserver(() => {
  // Off for a moment and on again: back at once, before the next key.
  if (held && off !== null && document.activeElement === document.body && canHave(held)) give(held);
  if (held && off !== null && !inView(held)) { // or gone: no use in waiting
    clearTimeout(waiting);
    waiting = off = null;
  }
  if (held && document.activeElement === document.body || held?.matches(':disabled')) waiting ??= setTimeout(look, soon);
}).observe(document, { subtree: true, childList: true, attributes: true, attributeFilter: ['disabled', 'hidden', 'open', 'class'] });
