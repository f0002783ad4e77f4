// Slips of the hand: a finger that trembles, or a hand that clicks everything twice. The second
// tap of such a pair does nothing: not what the first has done already ("Made it" for two
// blocks), and not what has come under the finger since, which nobody can have looked at yet.

const pair = 300; // ms between the two taps of a slip
const near = 24; // CSS pixels between them
const atOnce = 50; // ms: no hand presses a key twice as fast

/** What is pressed often and fast on purpose, and what a second press does nothing to. */
const quick = '[data-quick], a, label, input, select, textarea, summary, svg, canvas';

const controlOf = (target) => target.closest?.('button, a, label, summary, input, select, textarea, [role="gridcell"]')
  ?? target.closest?.('svg') ?? target;

let last = { at: -Infinity }; // the last tap that counted: { at, x, y, control }
let keyed = { at: -Infinity }; // the last press without a pointer

const stop = (e) => {
  e.preventDefault();
  e.stopImmediatePropagation();
};

// Clicks, not what leads to them: two quick taps of a finger come as two pairs of down and up
// before the first click.
addEventListener('click', (e) => {
  const control = controlOf(e.target);
  if (e.detail === 0) { // a key, or a program that reads the page out
    if (control === keyed.control && e.timeStamp - keyed.at < atOnce && !control.closest?.(quick)) stop(e);
    else keyed = { at: e.timeStamp, control };
    return;
  }
  const isSlip = e.timeStamp - last.at < pair && Math.hypot(e.clientX - last.x, e.clientY - last.y) < near;
  const ofLabel = last.control?.control === control; // a click on a label clicks what it names
  if (isSlip && !ofLabel && !(control === last.control && control.closest?.(quick))) stop(e);
  else if (!isSlip || control === last.control) last = { at: e.timeStamp, x: e.clientX, y: e.clientY, control };
}, true);

// A key that is held down repeats itself.
addEventListener('keydown', (e) => {
  if (e.repeat && (e.key === 'Enter' || e.key === ' ') && e.target.closest?.('button, a, [role="gridcell"]') && !e.target.closest('[data-quick]')) stop(e);
}, true);
