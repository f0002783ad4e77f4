// A value that views can watch: the smallest thing that lets two views share a state.
import { useEffect, useState } from './html.js';

export function cell(first) {
  const watchers = new Set();
  return {
    value: first,
    set(next) {
      this.value = typeof next === 'function' ? next(this.value) : next;
      for (const watch of [...watchers]) watch(this.value);
    },
    /** Hook: the value, and a new drawing whenever it changes. */
    use() {
      const [value, setValue] = useState(this.value);
      useEffect(() => {
        const watch = (next) => setValue(() => next);
        watchers.add(watch);
        watch(this.value); // it may have changed between drawing and watching
        return () => watchers.delete(watch);
      }, []);
      return value;
    },
  };
}

/** A cell that outlives the page, where the browser lets it. */
export function keptCell(key, first) {
  let kept = first;
  try {
    const text = localStorage.getItem(`motley.${key}`);
    if (text !== null) kept = JSON.parse(text);
  } catch { /* private windows have no storage: start from the first value */ }
  const it = cell(kept);
  const set = it.set;
  it.set = function (next) {
    set.call(it, next);
    try {
      localStorage.setItem(`motley.${key}`, JSON.stringify(it.value));
    } catch { /* the same */ }
  };
  return it;
}
