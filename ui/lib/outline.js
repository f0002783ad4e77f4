// Outlines as a hand mends them. A found edge has hundreds of points; a hand wants its
// corners. So an outline is a list of nodes: a corner, and the fine points from it to the
// next one, which stay as they were found until a corner beside them is moved. Pure.

const tolerance = 1 / 16; // in: what lies nearer to a straight side is no corner

const apart = ([ax, ay], [bx, by]) => Math.hypot(ax - bx, ay - by);

/** How far a point lies from the line through two others. */
const offLine = (p, a, b) => {
  const length = apart(a, b);
  return length === 0 ? apart(p, a) : Math.abs((b[0] - a[0]) * (a[1] - p[1]) - (a[0] - p[0]) * (b[1] - a[1])) / length;
};

/** Which points of a line are its corners: Douglas and Peucker, The Canadian Cartographer
 * 10 (1973) 112-122. Indices from first to last, both among them. */
function cornersOf(line, first, last) {
  let far = 0;
  let at = 0;
  for (let i = first + 1; i < last; i++) {
    const off = offLine(line[i], line[first], line[last]);
    if (off > far) [far, at] = [off, i];
  }
  if (far <= tolerance) return [first, last];
  return [...cornersOf(line, first, at).slice(0, -1), ...cornersOf(line, at, last)];
}

/** Nodes [{ at, fine }] of a ring; it is begun at one of its own corners. */
export function nodesOf(ring) {
  if (ring.length < 5) return ring.map((at) => ({ at, fine: [] }));
  // The point farthest from the first, and the one farthest from that, are both corners.
  const farthest = (from) => ring.reduce((best, p, i) => (apart(p, from) > apart(ring[best], from) ? i : best), 0);
  const start = farthest(ring[farthest(ring[0])]);
  const line = [...ring.slice(start), ...ring.slice(0, start), ring[start]];
  const far = line.reduce((best, p, i) => (apart(p, line[0]) > apart(line[best], line[0]) ? i : best), 0);
  const at = [...cornersOf(line, 0, far).slice(0, -1), ...cornersOf(line, far, line.length - 1)];
  return at.slice(0, -1).map((i, n) => ({ at: line[i], fine: line.slice(i + 1, at[n + 1]) }));
}

export const ringOf = (nodes) => nodes.flatMap(({ at, fine }) => [at, ...fine]);

const without = (nodes, i) => nodes.map((node, j) => (j === (i + nodes.length) % nodes.length ? { ...node, fine: [] } : node));

/** A corner elsewhere: both sides that meet in it become straight. */
export const moved = (nodes, i, at) => without(without(nodes, i - 1), i).map((node, j) => (j === i ? { ...node, at } : node));

/** One corner less: its neighbours are joined by a straight side. */
export const removed = (nodes, i) => without(nodes, i - 1).filter((_, j) => j !== i);

/** One corner more, on the side after corner i, at a point of it. */
export function added(nodes, i, at) {
  const { fine } = nodes[i];
  const nearest = fine.reduce((best, p, j) => (apart(p, at) < apart(fine[best] ?? [Infinity, 0], at) ? j : best), 0);
  return nodes.toSpliced(i, 1, { at: nodes[i].at, fine: fine.slice(0, nearest) }, { at, fine: fine.slice(nearest + 1) });
}

/** The middle of the side after corner i, on the outline as it was found. */
export function middleOf(nodes, i) {
  const { at, fine } = nodes[i];
  const next = nodes[(i + 1) % nodes.length].at;
  return fine.length > 0 ? fine[Math.floor(fine.length / 2)] : [(at[0] + next[0]) / 2, (at[1] + next[1]) / 2];
}

/** Where the outline passes nearest to a point: { side, at, off } with off in inches. */
export function nearestSide(nodes, point) {
  let best = { side: 0, at: nodes[0].at, off: Infinity };
  nodes.forEach((node, side) => {
    const line = [node.at, ...node.fine, nodes[(side + 1) % nodes.length].at];
    for (let i = 0; i + 1 < line.length; i++) {
      const [a, b] = [line[i], line[i + 1]];
      const whole = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2;
      const part = whole === 0 ? 0 : Math.max(0, Math.min(1, ((point[0] - a[0]) * (b[0] - a[0]) + (point[1] - a[1]) * (b[1] - a[1])) / whole));
      const at = [a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])];
      const off = apart(at, point);
      if (off < best.off) best = { side, at, off };
    }
  });
  return best;
}

const same = (a, b) => apart(a, b) < 1e-3;

/**
 * Two hands at one outline: what either changed of a ring that both began with. Along each
 * stretch that only one of them changed, hers or theirs holds; where both did, hers. Gives
 * { ring, both }: `both` counts the stretches that both changed. Null: no two points of it are
 * as they were, so that there is nothing to hold on to.
 */
export function merged(was, mine, theirs) {
  const at = (ring, p) => ring.findIndex((q) => same(p, q));
  // What stands in all three holds the stretches together; in the same order in each.
  const fixed = [];
  for (const p of was) {
    const here = [at(mine, p), at(theirs, p)];
    if (here.every((i) => i >= 0)) fixed.push({ p, here });
  }
  const turned = (n, which, ring) => (fixed[n].here[which] - fixed[0].here[which] + ring.length) % ring.length;
  for (let n = 1; n < fixed.length; n++) {
    if (turned(n, 0, mine) > turned(n - 1, 0, mine) && turned(n, 1, theirs) > turned(n - 1, 1, theirs)) continue;
    fixed.splice(n--, 1);
  }
  if (fixed.length < 2) return null;
  const stretch = (ring, from, to) => {
    const points = [];
    for (let i = (from + 1) % ring.length; i !== to; i = (i + 1) % ring.length) points.push(ring[i]);
    return points;
  };
  const alike = (a, b) => a.length === b.length && a.every((p, i) => same(p, b[i]));
  let both = 0;
  const ring = fixed.flatMap(({ p, here }, n) => {
    const next = fixed[(n + 1) % fixed.length];
    const base = stretch(was, at(was, p), at(was, next.p));
    const hers = stretch(mine, here[0], next.here[0]);
    const others = stretch(theirs, here[1], next.here[1]);
    if (alike(hers, base)) return [p, ...others];
    if (!alike(others, base) && !alike(hers, others)) both++;
    return [p, ...hers];
  });
  return { ring, both };
}
