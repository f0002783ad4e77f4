// A plain weave in a colour: over one, under one, as a 12 px tile. Threads are told apart
// by a little light and shade, so the colour itself stays as measured.
const made = new Map();

/** Undyed, for a fabric that nobody has seen yet. */
export const undyed = [200, 195, 186];

const tile = (under) => {
  const bar = (x, y, w, h) => `<path d="M${x} ${y}h${w}v${h}h${-w}z"/>`;
  const light = bar(0, 1, 6, 4) + bar(6, 7, 6, 4);
  const shade = bar(7, 0, 4, 6) + bar(1, 6, 4, 6);
  return `data:image/svg+xml,${encodeURIComponent(`<svg xmlns="http://www.w3.org/2000/svg" width="6" height="6" viewBox="0 0 12 12">${under}<g fill="#fff" opacity=".12">${light}</g><g opacity=".08">${shade}</g></svg>`)}`;
};

export function weave(colour) {
  const srgb = colour ?? undyed;
  const key = srgb.join();
  if (!made.has(key)) made.set(key, tile(`<rect width="12" height="12" fill="rgb(${key})"/>`));
  return made.get(key);
}

/** Light and shade alone, to be laid over any colour: a picture for each of a thousand colours
 *  takes a browser ten seconds. */
export const threads = tile('');

// A kind of block as a stencil. Roles differ by pattern, not by colour. Its two quiet inks,
// for light and dark, are those of page.css; turn and strength are drawn in, because a mask,
// a rotation or an opacity of its own for each of 600 places makes panning stutter.
const ink = '<style>g{fill:#5d574e}@media(prefers-color-scheme:dark){g{fill:#b9b1a4}}</style>';
const roleInk = { scrap: 0.5, light: 0.22, dark: 0.78, accent: 1, background: 0.06 };

/** [[role, path]...] of one patch: a square, or two triangles, the upper one first. */
function patchShapes({ split, roles }, x, y) {
  const at = `M${x + 0.5} ${y + 0.5}`;
  if (split === 'rising') return [[roles[0], `${at}h9l-9 9z`], [roles[1], `M${x + 9.5} ${y + 0.5}v9h-9z`]];
  if (split === 'falling') return [[roles[0], `${at}h9v9z`], [roles[1], `${at}v9h9z`]];
  return [[roles[0], `${at}h9v9h-9z`]];
}

/** CSS picture of one kind; patches in reading order, rows of patches; quarter turns to the right. */
export function stencil(patches, turn = 0, strength = 0.75) {
  const side = Math.max(1, patches?.length ?? 1) * 10;
  let body = '';
  (patches ?? []).forEach((row, r) => row.forEach((patch, c) => {
    for (const [role, d] of patchShapes(patch, c * 10, r * 10)) {
      body += `<path d="${d}" fill-opacity="${(roleInk[role] ?? 0.5) * strength}"/>`;
      if (role === 'scrap') body += `<circle cx="${c * 10 + 5}" cy="${r * 10 + 5}" r="1.1" fill-opacity="${strength}"/>`;
    }
  }));
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${side} ${side}">${ink}<g transform="rotate(${turn * 90} ${side / 2} ${side / 2})">${body}</g></svg>`;
  return `url("data:image/svg+xml,${encodeURIComponent(svg)}")`;
}
