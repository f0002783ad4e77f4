// What is half done: kept on this device until it is done or put back, so that going back,
// reloading or closing the page loses nothing.
import { useRef, useState } from './html.js';

const key = 'motley.drafts';
const most = 60; // the oldest make room

const read = () => {
  try {
    return new Map(JSON.parse(localStorage.getItem(key) ?? '[]'));
  } catch {
    return new Map(); // private windows have no storage: it lasts as long as the page
  }
};
const drafts = read();

function keep(name, value) {
  drafts.delete(name);
  if (value !== undefined) drafts.set(name, value);
  for (const old of drafts.keys()) {
    if (drafts.size <= most) break;
    drafts.delete(old);
  }
  try {
    localStorage.setItem(key, JSON.stringify([...drafts]));
  } catch { /* no room or no storage: the same */ }
}

/** Hook like useState, whose value outlives the page under this name. Setting undefined lets
 *  the draft go; then and at first the value is `first`. */
export function useDraft(name, first) {
  const [, redraw] = useState(0);
  const value = useRef();
  const of = useRef();
  if (of.current !== name) {
    of.current = name;
    value.current = drafts.has(name) ? drafts.get(name) : first;
  }
  return [value.current, (next) => {
    const wanted = typeof next === 'function' ? next(value.current) : next;
    keep(of.current, wanted);
    value.current = wanted === undefined ? first : wanted;
    redraw((n) => n + 1);
  }];
}
