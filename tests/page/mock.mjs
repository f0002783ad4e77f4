// A small server with the page, the same security headers as the program's, and invented
// documents: the fixture for fast tests of the page, also of states that are hard to reach
// with a real book (nothing yet, thirty scraps, very long names, every kind of trouble).
//
//   node tests/page/mock.mjs [SCENE] [PORT]     SCENE: demo, empty, crowded, trouble
import { createServer } from 'node:http';
import { readFile } from 'node:fs/promises';
import { extname, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';

const ui = fileURLToPath(new URL('../../ui/', import.meta.url));

const types = {
  '.html': 'text/html; charset=utf-8', '.js': 'text/javascript; charset=utf-8', '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml', '.woff2': 'font/woff2', '.json': 'application/json', '.jpg': 'image/jpeg',
};

const headers = {
  'Content-Security-Policy': "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    + "font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
    + "require-trusted-types-for 'script'; trusted-types 'none'",
  'X-Content-Type-Options': 'nosniff',
  'Cache-Control': 'no-store',
};

/** Small repeatable random numbers (a linear congruence is plenty for invented data). */
function randomNumbers(seed) {
  let state = seed;
  return () => {
    state = (state * 1664525 + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

// ---- invented fabrics --------------------------------------------------------------------

const fabricRows = [
  ['harbour dusk dots', 'Harbour', 52, [62, 84, 118], 'dark'],
  ['rope stripe', 'Harbour', 31, [196, 182, 150], 'light'],
  ['buoy red', 'Harbour', 18, [172, 58, 50], 'medium'],
  ['gull grey', 'Harbour', 26, [150, 156, 160], 'medium'],
  ['tar and twine', 'Harbour', 14, [58, 52, 48], 'dark'],
  ['apple skin', 'Orchard', 37, [186, 72, 64], 'medium'],
  ['leaf litter', 'Orchard', 22, [132, 112, 62], 'medium'],
  ['pear blossom', 'Orchard', 41, [236, 226, 208], 'light'],
  ['bark', 'Orchard', 12, [98, 74, 56], 'dark'],
  ['wind sock', 'Kite Day', 29, [226, 142, 60], 'medium'],
  ['high cloud', 'Kite Day', 35, [212, 222, 230], 'light'],
  ['tail ribbons', 'Kite Day', 16, [108, 142, 92], 'medium'],
  ['meadow check', 'Kite Day', 21, [146, 170, 118], 'medium'],
  ['winter wheat', 'Winter Wheat', 27, [214, 188, 120], 'light'],
  ['frost blue', 'Winter Wheat', 20, [170, 192, 210], 'light'],
  ['furrow', 'Winter Wheat', 12, [86, 62, 50], 'dark'],
];

const makeFabrics = (rows) => {
  const total = rows.reduce((sum, row) => sum + row[2], 0);
  return rows.map(([name, source, squares, srgb, value], i) => ({
    fabric: `f${i + 1}`, name, source, squares, exact: i % 3 !== 1, share: total ? squares / total : 0, value, srgb, swatch: i % 2 === 0,
  }));
};

// ---- invented scraps -----------------------------------------------------------------------

function makeScraps(count, seed, fabrics) {
  const random = randomNumbers(seed);
  const across = Math.ceil(Math.sqrt(count * 1.4));
  const scraps = [];
  for (let i = 0; i < count; i++) {
    const cx = (i % across) * 6.4 - across * 3.2 + 3.2 + (random() - 0.5) * 0.8;
    const cy = 9 - Math.floor(i / across) * 5.6 + (random() - 0.5) * 0.6;
    const w = 2.2 + random() * 3;
    const h = 1.8 + random() * 2.6;
    const turn = (random() - 0.5) * 0.5;
    const corners = [[-1, -1], [-0.1, -0.9 - random() * 0.2], [1, -1 + random() * 0.4], [0.9, 1], [-0.4 + random() * 0.4, 0.85], [-1, 1 - random() * 0.4]];
    const outline = corners.map(([x, y]) => {
      const px = x * w / 2;
      const py = y * h / 2;
      return [cx + px * Math.cos(turn) - py * Math.sin(turn), cy + px * Math.sin(turn) + py * Math.cos(turn)];
    });
    const grid = Math.max(0, Math.floor(w / 1.25) * Math.floor(h / 1.3));
    const fabric = fabrics[i % fabrics.length];
    scraps.push({
      id: `s${seed}-${i + 1}`, number: i + 1, state: 'lying', outline_in: outline, holes_in: [], area_sq_in: w * h * 0.92,
      on_edge: i === count - 1, sure: i % 7 !== 3, value: fabric.value, fabric: i % 2 ? fabric.fabric : null,
      alike: fabrics.slice(i % 8, (i % 8) + 3).map(({ fabric: id, name, value, srgb, swatch }, j) => ({ fabric: id, name, value, srgb, swatch, alike: 0.9 - j * 0.1 })),
      colours: [{ lab: [50, 0, 0], srgb: fabric.srgb, share: 0.8, name: 'dusky blue' }, { lab: [90, 0, 0], srgb: [238, 230, 216], share: 0.2, name: 'cream' }],
      squares: { grid, strips: grid + (i % 3 === 0 ? 1 : 0) }, cx, cy,
    });
  }
  return scraps;
}

const makePhoto = (id, name, source, count, seed, fabrics, warnings = []) => {
  const scraps = makeScraps(count, seed, fabrics);
  const xs = scraps.flatMap((scrap) => scrap.outline_in.map((p) => p[0]));
  const ys = scraps.flatMap((scrap) => scrap.outline_in.map((p) => p[1]));
  const left = Math.min(...xs) - 1.5;
  const top = Math.max(...ys) + 1.5;
  const pixels = 40;
  return {
    photo: { id, name, sha256: 'a'.repeat(64), width_px: 4000, height_px: 3000, source, at: '2026-03-14T10:20:00Z' },
    plan: {
      url: `/api/photos/${id}/plan.jpg`, width_px: Math.round((Math.max(...xs) + 1.5 - left) * pixels),
      height_px: Math.round((top - Math.min(...ys) + 1.5) * pixels), pixels_per_in: pixels, left_in: left, top_in: top,
    },
    card: { tags: 4, error_in: 0.006, pixels_per_in: 84.2 },
    scraps, warnings,
  };
};

/** The plan picture of an invented photo, as SVG. */
function planPicture({ plan, scraps }) {
  const at = ([x, y]) => `${((x - plan.left_in) * plan.pixels_per_in).toFixed(1)} ${((plan.top_in - y) * plan.pixels_per_in).toFixed(1)}`;
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${plan.width_px}" height="${plan.height_px}" viewBox="0 0 ${plan.width_px} ${plan.height_px}">
<rect width="100%" height="100%" fill="#2f4a40"/><path d="${Array.from({ length: 60 }, (_, i) => `M${i * 40} 0V4000M0 ${i * 40}H4000`).join('')}" stroke="#4d6a5e" stroke-width="1"/>
${scraps.map((scrap) => `<path d="M${scrap.outline_in.map(at).join('L')}Z" fill="rgb(${scrap.colours[0].srgb})"/><path d="M${scrap.outline_in.map(at).join('L')}Z" fill="url(#dots)"/>`).join('\n')}
<defs><pattern id="dots" width="26" height="26" patternUnits="userSpaceOnUse"><circle cx="8" cy="8" r="3.4" fill="#f2eadb" fill-opacity=".6"/><circle cx="21" cy="20" r="2.2" fill="#f2eadb" fill-opacity=".45"/></pattern></defs></svg>`;
}

const swatchPicture = ([r, g, b]) => `<svg xmlns="http://www.w3.org/2000/svg" width="128" height="128"><rect width="128" height="128" fill="rgb(${r},${g},${b})"/><path d="M16 0l16 16-16 16L0 16zM80 32l16 16-16 16-16-16zM32 80l16 16-16 16-16-16zM112 96l16 16-16 16-16-16z" fill="#f5eede" fill-opacity=".55"/><circle cx="64" cy="104" r="7" fill="#1c1a18" fill-opacity=".3"/><circle cx="104" cy="30" r="5" fill="#1c1a18" fill-opacity=".3"/></svg>`;

// ---- an invented design ---------------------------------------------------------------------

const roleNames = { S: 'scrap', B: 'background', L: 'light', D: 'dark' };
const roles = (text) => text.split(' / ').map((row) => row.split(' ').map((role) => ({ split: 'whole', roles: [roleNames[role]] })));

const latticeKinds = {
  plain: roles('S S S / S S S / S S S'), cross: roles('B S B / S B S / B S B'), stroke: roles('B S S / S B S / S S B'),
};
const latticeRepeat = [
  ['cross', 'plain', 'plain', 'plain'], ['plain', 'stroke', 'plain', 'stroke+1'],
  ['plain', 'plain', 'cross', 'plain'], ['plain', 'stroke+1', 'plain', 'stroke'],
];
const halves = (split) => ({ split, roles: ['scrap', 'background'] });
const sailKinds = { sail: [[halves('rising'), halves('rising')], [{ split: 'whole', roles: ['background'] }, halves('rising')]] };

const designs = [
  { design: 'lattice-chain', name: 'Lattice chain', about: 'Background chains cross a field of scraps.', block: 3, kinds: 3, triangles: 0, roles: ['S', 'B'], own: false, as_cut: true, scrap_share: 0.76, block_finished_in: 6, text: 'name Lattice chain\nblock plain S S S / S S S / S S S\nblock cross B S B / S B S / B S B\nrepeat cross plain\nrepeat plain cross+1\n' },
  { design: 'nine-patch', name: 'Nine patch', about: 'Nine squares, light and dark by turns.', block: 3, kinds: 1, triangles: 0, roles: ['L', 'D'], own: false, as_cut: true, scrap_share: 1, block_finished_in: 6, text: 'name Nine patch\nblock nine D L D / L D L / D L D\n' },
  { design: 'sails', name: 'Sails', about: 'Half-square triangles that fill with wind.', block: 2, kinds: 1, triangles: 3, roles: ['S', 'B'], own: false, as_cut: false, scrap_share: 0.5, block_finished_in: 4, text: 'name Sails\nblock sail S/B B / B S\\B\n' },
];

function designPicture(kinds, repeat) {
  const body = [];
  repeat.forEach((row, r) => row.forEach((text, c) => {
    const [kind, turn = '0'] = text.split('+');
    const cells = kinds[kind].flatMap((line, y) => line.map((patch, x) => (patch.split !== 'whole'
      ? `<path d="M${x} ${y}h1v1h-1z" fill="#fff"/><path d="M${x} ${y}h1l-1 1z" fill="#8d8579"/>`
      : `<path d="M${x} ${y}h1v1h-1z" fill="${patch.roles[0] === 'background' ? '#fff' : '#8d8579'}"/>`)));
    const n = kinds[kind].length;
    body.push(`<g transform="translate(${c * n} ${r * n}) rotate(${turn * 90} ${n / 2} ${n / 2})" stroke="#d9d2c6" stroke-width=".05">${cells.join('')}</g>`);
  }));
  const n = Object.values(kinds)[0].length;
  return `<svg xmlns="http://www.w3.org/2000/svg" width="480" height="480" viewBox="0 0 ${repeat[0].length * n} ${repeat.length * n}">${body.join('')}</svg>`;
}

function planOf(design, across, down, unitIn) {
  const patches = design === 'sails' ? 2 : 3;
  const finished = (unitIn - 0.5) * patches;
  const blocks = across * down;
  const counts = design === 'lattice-chain'
    ? { cross: Math.round(blocks / 8), stroke: Math.round(blocks / 4), plain: blocks - Math.round(blocks / 8) - Math.round(blocks / 4) }
    : { [design]: blocks };
  const background = (counts.cross ?? 0) * 5 + (counts.stroke ?? 0) * 3;
  return {
    design, unit_in: unitIn, seam_in: 0.25, block: { patches, finished_in: finished, unfinished_in: finished + 0.5 }, across, down,
    finished_in: [finished * across, finished * down],
    kinds: Object.entries(counts).map(([kind, n]) => ({ kind, blocks: n, roles: {} })),
    squares: { S: blocks * patches * patches - background, B: background },
    triangles: design === 'sails' ? [{ roles: ['S', 'B'], count: blocks * 3, cut_in: unitIn + 0.375 }] : [],
  };
}

const boughtOf = (got, need) => {
  const so = Number(/[\d.]+/.exec(got?.length ?? '0')) * (/yd/.test(got?.length) ? 36 : 1);
  return { length_in: so, ticked: Boolean(got?.ticked), left_in: Math.max(0, need - so), left_text: `${Math.ceil(Math.max(0, need - so) / 4.5) / 8} yd`, left_metric_text: '0.5 m' };
};

const buyOf = (plan) => ({
  notes: [{ code: 'buy.dye-lot', item: 'background', message: 'One bolt.' }],
  scraps: [{ role: 'scrap', piece: 'patch', cut_in: 2.5, count: plan.squares.S }],
  items: [{
    ...(plan.quilt ? { bought: boughtOf(plan.got?.background, 40) } : {}), ...(plan.chosen ? { fabric: plan.chosen } : {}),
    for: 'background', cloth_width_in: 42, length_in: 40, buy_yd: 1.125, buy_m: 1.05,
    cuts: [{ piece: 'strip', width_in: 2.5, length_in: 42, count: Math.ceil(plan.squares.B / 16), joined: false, into: [{ piece: 'patch', width_in: 2.5, length_in: 2.5, count: plan.squares.B }] }],
  }, { for: 'backing', cloth_width_in: 42, length_in: 160, buy_yd: 4.5, buy_m: 4.1, cuts: [] }],
  backing: { panels: 2, seams: 1, length_in: 160, buy_yd: 4.5, buy_m: 4.1 },
  batting: { size_in: [plan.finished_in[0] + 8, plan.finished_in[1] + 8], packaged: null },
  binding: { strips: 9, length_in: 346 },
});

function makeQuilt(name, design, across, down, made) {
  const plan = planOf(design, across, down, 2.5);
  const kinds = design === 'lattice-chain' ? latticeKinds : design === 'sails' ? sailKinds : { [design]: roles('D L D / L D L / D L D') };
  const repeat = design === 'lattice-chain' ? latticeRepeat : [[Object.keys(kinds)[0]]];
  let id = 0;
  const places = Array.from({ length: down }, (_, r) => Array.from({ length: across }, (_, c) => {
    const [kind, turn = '0'] = repeat[r % repeat.length][c % repeat[0].length].split('+');
    id++;
    return { kind, turn: Number(turn), block: id <= made ? `b${id}` : null };
  }));
  return { ...plan, quilt: name, state: 'under way', places, kindPatches: kinds };
}

const countMade = (quilt) => quilt.places.flat().filter((place) => place.block).length;

function quiltDocument(quilt) {
  const flat = quilt.places.flat();
  const made = countMade(quilt);
  const { kindPatches, ...rest } = quilt;
  return {
    ...rest, made, left: flat.length - made,
    kinds: Object.entries(kindPatches).map(([kind, patches]) => ({
      kind, name: kind, patches, blocks: flat.filter((p) => p.kind === kind).length,
      made: flat.filter((p) => p.kind === kind && p.block).length, roles: {},
    })),
  };
}

// ---- scenes ----------------------------------------------------------------------------------

const longName = 'The very long-named memory quilt for Great-Aunt Wilhelmina’s ninetieth birthday at the harbour';

function makeScene(scene) {
  const rows = scene === 'empty' ? [] : scene === 'crowded'
    ? Array.from({ length: 60 }, (_, i) => [`${fabricRows[i % 16][0]} with a rather long name, cutting ${i + 1}`, 'Harbour', 30 + (i * 37) % 90, fabricRows[i % 16][3].map((x) => (x + i * 11) % 256), fabricRows[i % 16][4]])
    : fabricRows;
  const fabrics = makeFabrics(rows);
  const warnings = [
    { code: 'photo.touching', message: 'Scraps 2 and 5 lie against each other.', hint: 'Are they one piece or two? Part them and take the photo again, or leave them as two.', at_in: [-6, 4] },
    { code: 'photo.edge', message: 'Scrap 12 runs out of the picture.', hint: 'Only what is in view was measured.', at_in: [8, -6] },
  ];
  const photos = scene === 'empty' ? [] : [
    makePhoto('p1', 'IMG_2041.jpg', 'Kite Day', scene === 'crowded' ? 30 : 12, 5, makeFabrics(fabricRows), warnings),
    makePhoto('p2', 'IMG_1987.jpg', scene === 'crowded' ? longName : 'Orchard', 8, 9, makeFabrics(fabricRows)),
  ];
  const quilts = scene === 'empty' ? [] : [
    makeQuilt('Tideline', 'lattice-chain', 12, 16, 73),
    scene === 'crowded' ? makeQuilt(longName, 'lattice-chain', 20, 24, 240) : makeQuilt('Orchard', 'nine-patch', 8, 10, 80),
  ];
  if (quilts[1] && scene !== 'crowded') quilts[1].state = 'finished';
  return {
    scene, fabrics, photos, quilts, revision: 1,
    settings: { unit: '2 1/2 in', seam: '1/4 in', width_of_fabric: '42 in', card_line: '100 mm', system: 'inches', paper: 'a4', language: 'en', network: 'off' },
    undo: [], redo: [], sent: new Set(), taken: 0, listeners: new Set(), jobs: new Map(),
  };
}

// ---- documents ---------------------------------------------------------------------------------

const basketOf = (book) => {
  const fabrics = book.fabrics.filter((one) => one.squares > 0).map(({ source, ...one }) => one);
  const squares = fabrics.reduce((sum, one) => sum + one.squares, 0);
  const sum = (key) => [...new Set(book.fabrics.map((one) => one[key]))].map((name) => {
    const n = book.fabrics.filter((one) => one[key] === name).reduce((all, one) => all + one.squares, 0);
    return { [key]: name, squares: n, exact: name !== 'Orchard', share: squares ? n / squares : 0 };
  });
  return {
    squares, fabrics: fabrics.map((one) => ({ ...one, share: squares ? one.squares / squares : 0 })), sources: sum('source'), values: sum('value'),
    layers: squares === 0 ? [] : [
      { layer: 1, at: '2025-04-02', squares: Math.round(squares * 0.2), put_in: Math.round(squares * 0.6) },
      { layer: 2, at: '2025-09-20', squares: Math.round(squares * 0.3), put_in: Math.round(squares * 0.34) },
      { layer: 3, at: '2026-03-14', squares: squares - Math.round(squares * 0.2) - Math.round(squares * 0.3), put_in: squares - Math.round(squares * 0.2) - Math.round(squares * 0.3) },
    ],
    units: squares === 0 ? [] : [{ unit_in: 2.5, squares }],
  };
};

/** Squares of the blocks by fabric, the most first. */
/** What the next block tells of a fabric. */
const look = ({ fabric, name, srgb, swatch }) => ({ fabric, name, srgb, swatch });

function pullOf(blocks) {
  const pull = new Map();
  for (const patch of blocks.flatMap((one) => one.patches.flat()).flatMap((one) => [one, one.other])) {
    if (!patch?.fabric) continue;
    pull.set(patch.fabric, { ...look(patch), squares: (pull.get(patch.fabric)?.squares ?? 0) + 1 });
  }
  return [...pull.values()].sort((a, b) => b.squares - a.squares);
}

const recordOf = (book) => (book.scene === 'empty' ? { quilts: [], months: [] } : {
  quilts: [
    { quilt: 'Tideline', state: 'under way', design: 'lattice-chain', started: '2026-01-10', closed: null, made: 73, blocks: 192, sources: [{ source: 'Harbour', squares: 240, exact: true }, { source: 'Orchard', squares: 190, exact: false }, { source: 'Kite Day', squares: 130, exact: false }] },
    { quilt: 'Orchard', state: 'finished', design: 'nine-patch', started: '2025-02-01', closed: '2025-08-30', made: 80, blocks: 80, sources: [{ source: 'Harbour', squares: 500, exact: true }, { source: 'Winter Wheat', squares: 215, exact: true }] },
  ],
  months: Array.from({ length: book.scene === 'crowded' ? 120 : 15 }, (_, i) => ({
    month: `${(book.scene === 'crowded' ? 2017 : 2025) + Math.floor(i / 12)}-${String((i % 12) + 1).padStart(2, '0')}`,
    squares_in: (i * 83) % 140, squares_out: (i * 47) % 110, blocks: (i * 5) % 13,
  })).filter(({ month }) => month !== '2020-01'), // nothing was done in it
});

// ---- the server ---------------------------------------------------------------------------------

class Refused extends Error {
  constructor(status, code, message, hint) {
    super(message);
    this.status = status;
    this.document = { error: { code, message, hint } };
  }
}

const none = (what) => new Refused(404, 'app.none', `There is no ${what}.`, 'See the list for what there is.');

const snapshot = (book) => JSON.stringify({ fabrics: book.fabrics, photos: book.photos, quilts: book.quilts, settings: book.settings });

/** Starts a mock on a free port. { url, book, close() } */
export async function startMock(scene = 'demo', port = 0) {
  const book = makeScene(scene);
  const changed = () => {
    book.revision++;
    for (const listener of book.listeners) listener.write(`event: change\ndata: {"revision":${book.revision}}\n\n`);
  };
  /** Runs a change, keeping what was before for undo. */
  const doing = (what, run) => {
    const before = snapshot(book);
    const answer = run();
    book.undo.push({ what, before });
    book.redo = [];
    changed();
    return answer;
  };
  const photo = (id) => book.photos.find((one) => one.photo.id === id) ?? (() => { throw none(`photo ${id}`); })();
  const quilt = (name) => book.quilts.find((one) => one.quilt === name) ?? (() => { throw none(`quilt ${name}`); })();
  const scrapOf = (id) => book.photos.flatMap((one) => one.scraps).find((one) => one.id === id) ?? (() => { throw none(`scrap ${id}`); })();
  const allDesigns = () => [...designs, ...(book.own ?? [])];
  const checked = (text) => {
    const lines = text.split('\n');
    const wrong = lines.findIndex((line) => line.trim() && !/^(name|about|block|repeat|set|sash|border|#)/.test(line));
    if (wrong >= 0) throw new Refused(409, 'design.unreadable', `Line ${wrong + 1}, column 1: no line begins so.`, 'Mend the text at the line and column named.');
    return { ...designs[0], design: 'own', name: /^name (.*)$/m.exec(text)?.[1] ?? 'own', text };
  };
  const planRequest = (query) => {
    const wish = query.get('cover') ? [84, 92] : query.get('size')?.split(' x ').map((one) => parseFloat(one));
    if (wish) {
      const fit = (one) => ({ below: Math.floor(one / 6), below_in: Math.floor(one / 6) * 6, above: Math.ceil(one / 6), above_in: Math.ceil(one / 6) * 6 });
      return { ...planOf(query.get('design'), Math.ceil(wish[0] / 6), Math.ceil(wish[1] / 6), 2.5), nearest: { wanted_in: wish, across: fit(wish[0]), down: fit(wish[1]) } };
    }
    const across = Number(query.get('across'));
    const down = Number(query.get('down'));
    if (!(across >= 1 && across <= 100 && down >= 1 && down <= 100)) {
      throw new Refused(400, 'quilt.size', `A quilt of ${across} × ${down} blocks cannot be made.`, 'Give 1 to 100 blocks each way.');
    }
    const [, whole, top, bottom] = /^([\d.]+)(?: (\d+)\/(\d+))? in$/.exec(query.get('unit') ?? '2 1/2 in') ?? [0, '2.5'];
    return planOf(query.get('design'), across, down, Number(whole) + (top ? top / bottom : 0));
  };

  const routes = [
    ['GET', /^\/api\/book$/, () => ({
      book: '/home/maker/harbour.book', squares: basketOf(book).squares, unit_in: 2.5, scraps: book.photos.flatMap((one) => one.scraps).length,
      quilts: book.quilts.length, demo: scene !== 'empty', damaged: false, revision: book.revision, version: '0.1.0',
      undo: book.undo.length ? { what: book.undo.at(-1).what } : null, redo: book.redo.length ? { what: book.redo.at(-1).what } : null,
    })],
    ['GET', /^\/api\/devices$/, () => ({ devices: [], network: book.settings.network })],
    ['GET', /^\/api\/copies$/, () => ({ damage: null, copies: [
      { copy: '2026-11-27', written: '2026-11-27T19:01:00Z', bytes: 4200000, daily: true },
      { copy: 'before-restore-20261120-101500', written: '2026-11-20T10:15:00Z', bytes: 3900000, daily: false },
    ] })],
    ['GET', /^\/api\/basket$/, () => basketOf(book)],
    ['GET', /^\/api\/sources$/, () => {
      const { squares, units = [], sources } = basketOf(book);
      return { squares, units, sources: sources.map((one, i) => ({ id: i + 1, ...one })) };
    }],
    ['POST', /^\/api\/basket\/(add|take|correct)$/, ([, verb], { body }) => {
      if (!(body.count >= 0)) throw new Refused(400, 'app.count', `${body.count} is not a number of squares.`, 'Give a whole number.');
      const total = basketOf(book).squares;
      if (verb === 'take' && body.count > total) throw new Refused(409, 'store.basket-short', `The basket has ${total} squares; ${body.count} cannot be taken out.`, 'Count again, or take fewer.');
      return doing(`${verb} ${body.count} squares`, () => {
        if (book.fabrics.length === 0) book.fabrics.push({ fabric: null, name: '', source: body.source ?? '', squares: 0, exact: true, share: 1, value: 'medium', srgb: [150, 150, 150], swatch: false });
        const fabric = book.fabrics.find((one) => one.fabric === body.fabric) ?? book.fabrics[0];
        fabric.squares += verb === 'add' ? body.count : verb === 'take' ? -body.count : body.count - total;
        return basketOf(book);
      });
    }],
    ['GET', /^\/api\/photos$/, (_, { query }) => {
      const from = query.get('before') ? book.photos.findIndex((one) => one.photo.id === query.get('before')) + 1 : 0;
      return {
        photos: book.photos.slice(from, from + 30).map((one) => {
          const lying = one.scraps.filter((s) => s.state === 'lying');
          return {
            photo: one.photo.id, name: one.photo.name, at: one.photo.at, source: one.photo.source, scraps: one.scraps.length,
            lying: lying.length, squares: lying.reduce((sum, s) => sum + s.squares.strips, 0),
          };
        }),
      };
    }],
    ['GET', /^\/api\/photos\/([^/]+)$/, ([, id]) => photo(id)],
    ['DELETE', /^\/api\/photos\/([^/]+)$/, ([, id]) => {
      photo(id);
      return doing('put a photo away', () => {
        book.photos = book.photos.filter((one) => one.photo.id !== id);
        return { done: true };
      });
    }],
    ['PUT', /^\/api\/photos$/, (_, { query }) => {
      const name = query.get('name') ?? 'photo';
      const job = `j${book.jobs.size + 1}`;
      book.jobs.set(job, { name, source: query.get('source') ?? '', stopped: false });
      return { job, status: 202 };
    }],
    ['DELETE', /^\/api\/jobs\/([^/]+)$/, ([, id]) => {
      if (book.jobs.has(id)) book.jobs.get(id).stopped = true;
      return { done: true };
    }],
    ['POST', /^\/api\/scraps\/([^/]+)\/(throw|keep)$/, ([, id, verb]) => {
      const scrap = scrapOf(id);
      return doing(verb === 'throw' ? 'throw a scrap away' : 'keep a scrap', () => {
        scrap.state = verb === 'throw' ? 'thrown' : 'lying';
        return scrap;
      });
    }],
    ['PUT', /^\/api\/scraps\/([^/]+)\/outline$/, ([, id], { body }) => {
      const scrap = scrapOf(id);
      if (body.outline_in.length < 3) throw new Refused(400, 'outline.small', 'An outline needs three corners.', 'Add one.');
      return doing(`mend the outline of scrap ${scrap.number}`, () => Object.assign(scrap, { outline_in: body.outline_in, mended: true }));
    }],
    ['GET', /^\/api\/scraps$/, () => ({ scraps: book.photos.flatMap((one) => one.scraps) })],
    ['POST', /^\/api\/cut$/, (_, { body }) => {
      const plans = (body.scraps ?? []).flatMap((id) => (body.method ? [body.method] : ['grid', 'strips']).map((method) => {
        const scrap = scrapOf(id);
        const squares = scrap.squares[method];
        const u = 1.25; // drawn at half size so that the small invented scraps show some
        const across = Math.max(1, Math.ceil(Math.sqrt(squares)));
        const corners = Array.from({ length: squares }, (_, i) => {
          const x = scrap.cx - across * u / 2 + (i % across) * u;
          const y = scrap.cy + u - Math.floor(i / across) * u;
          return [[x, y], [x + u, y], [x + u, y - u], [x, y - u]];
        });
        return {
          scrap: id, method, chosen: method === (body.method ?? 'strips'), easiest: method === 'grid', angle_deg: 0, squares, bound: squares + 1, waste_sq_in: 2.5, passes: method === 'grid' ? 2 : 4, cuts: 8, turns: 1, handled: 1, minutes: 1.5, lines_pass: [1], tight: [], use: 'squares', leftovers: [],
          corners_in: corners, lines_in: [[[scrap.cx - 3, scrap.cy], [scrap.cx + 3, scrap.cy]]],
        };
      }));
      return { unit_in: 2.5, plans, total: { squares: plans.filter((one) => one.chosen).reduce((sum, one) => sum + one.squares, 0), minutes: plans.length * 1.5 } };
    }],
    ['GET', /^\/api\/tools$/, () => ({
      rulers: [{ ruler: 'plain', reach_in: 24, width_in: 6.5, slots: 0, pitch_in: null }],
      mat: { width_in: 24, height_in: 18, turns: false },
      times: { lay_s: 18, cut_s: 4, turn_s: 6, handle_s: 10, piles: 0, error_s: 0 },
      cutting: { tolerance_deg: 3, trim_in: 0, selvage_in: 0.5, whole_in: [18, 10], least_squares: 1, string_in: [6, 0.75] },
    })],
    ['POST', /^\/api\/cut\/done$/, (_, { body }) => doing(`put ${body.scraps.reduce((sum, one) => sum + one.squares, 0)} squares in the basket`, () => {
      for (const { scrap: id, squares } of body.scraps) {
        const scrap = scrapOf(id);
        scrap.state = 'cut';
        (book.fabrics.find((one) => one.fabric === scrap.fabric) ?? book.fabrics[0]).squares += squares;
      }
      return basketOf(book);
    })],
    ['POST', /^\/api\/scraps\/([^/]+)\/say$/, ([, id], { body }) => {
      const scrap = scrapOf(id);
      return doing('say which fabric a scrap is', () => {
        scrap.fabric = body.fabric;
        return scrap;
      });
    }],
    ['GET', /^\/api\/fabrics\/([^/]+)$/, ([, id]) => ({
      ...book.fabrics.find((one) => one.fabric === id), colours: [], quilts: [],
      ledger: Array.from({ length: 20 }, (_, i) => ({ at: `2026-0${1 + (i % 6)}-1${i % 10}T10:00:00Z`, count: i % 3 ? -(1 + (i % 4)) : 6, how: i % 3 ? 'made' : 'cut', exact: i % 4 !== 1, unit_in: 2.5 })),
    })],
    ['PUT', /^\/api\/fabrics\/([^/]+)$/, ([, id], { body }) => {
      const fabric = book.fabrics.find((one) => one.fabric === id) ?? (() => { throw none(`fabric ${id}`); })();
      return doing('name a fabric', () => Object.assign(fabric, { name: body.name }));
    }],
    ['GET', /^\/api\/designs$/, () => ({ unit_in: 2.5, designs: allDesigns() })],
    ['POST', /^\/api\/designs\/check$/, (_, { body }) => checked(body.text)],
    ['POST', /^\/api\/designs$/, (_, { body }) => doing('keep a design', () => {
      const one = { ...checked(body.text), design: 'evening-star', own: true };
      book.own = [...(book.own ?? []).filter((other) => other.design !== one.design), one];
      return one;
    })],
    ['GET', /^\/api\/designs\/([^/]+)$/, ([, name]) => allDesigns().find((one) => one.design === name) ?? (() => { throw none(`design ${name}`); })()],
    ['GET', /^\/api\/beds$/, () => ({
      beds: [{ cover: 'bed:crib:us', country: 'us', name: 'crib, inside', mattress_in: [28, 52.375], listed_by: 'x', cot: true }, { cover: 'bed:queen:us', country: 'us', name: 'queen', mattress_in: [60, 80], listed_by: 'x', cot: false }],
      sizes: [{ name: 'throw', size_in: [50, 65] }],
    })],
    ['GET', /^\/api\/reuse$/, () => ({ unit_in: 2.5, basket: 413, designs: designs.map((one, i) => ({ design: one.design, name: one.name, block: one.block, taken: i === 1 ? 73 : 0, spare: 0, left: 100, squares_needed: 500, squares_used: 413, squares_short: 87, triangle_squares: i % 2 ? 0 : 40, anew: i % 2 ? 87 : 127, scrap_share: 0.6 })) })],
    ['GET', /^\/api\/backgrounds$/, () => ({ squares: 413, melts_under: 12, backgrounds: [{ fabric: null, name: 'off-white', srgb: [250, 248, 240], lab: [97, 0, 1], apart: 34, lighter: 41, melting: 0.02, melt: book.fabrics.slice(0, 1) }, { fabric: null, name: 'dark blue', srgb: [30, 40, 80], lab: [18, 5, -25], apart: 29, lighter: -37, melting: 0, melt: [] }] })],
    ['GET', /^\/api\/fabrics$/, (_, { query }) => ({
      fabrics: book.fabrics.filter((one) => (!query.has('basket') || one.squares > 0) && one.name.includes(query.get('find') ?? '')).slice(0, Number(query.get('limit') ?? 200)),
    })],
    ['POST', /^\/api\/quilts\/([^/]+)\/bought$/, ([, name], { body }) => doing(`note ${body.item}`, () => {
      const it = quilt(name);
      it.got = { ...it.got, [body.item]: { ...it.got?.[body.item], ...body } };
      return buyOf(it);
    })],
    ['POST', /^\/api\/quilts\/([^/]+)\/fabric$/, ([, name], { body }) => doing('choose a fabric', () => {
      const it = quilt(name);
      it.chosen = book.fabrics.find((one) => one.fabric === body.fabric);
      return quiltDocument(it);
    })],
    ['GET', /^\/api\/plan$/, (_, { query }) => planRequest(query)],
    ['GET', /^\/api\/buy$/, (_, { query }) => buyOf(planRequest(query))],
    ['GET', /^\/api\/quilts$/, () => ({
      quilts: book.quilts.map((one) => ({ quilt: one.quilt, state: one.state, design: one.design, made: countMade(one), left: one.across * one.down - countMade(one) })),
    })],
    ['POST', /^\/api\/quilts$/, (_, { body }) => {
      if (book.quilts.some((one) => one.quilt === body.quilt)) throw new Refused(409, 'store.quilt-exists', `There is a quilt named ${body.quilt} already.`, 'Give this one another name.');
      return doing(`start ${body.quilt}`, () => {
        book.quilts.unshift(makeQuilt(body.quilt, body.design, Number(body.across), Number(body.down), 0));
        return quiltDocument(book.quilts[0]);
      });
    }],
    ['GET', /^\/api\/quilts\/([^/]+)$/, ([, name]) => quiltDocument(quilt(name))],
    ['DELETE', /^\/api\/quilts\/([^/]+)$/, ([, name]) => {
      quilt(name);
      return doing(`take ${name} out of the book`, () => {
        book.quilts = book.quilts.filter((one) => one.quilt !== name);
        return { done: true };
      });
    }],
    ['POST', /^\/api\/quilts\/([^/]+)\/close$/, ([, name]) => {
      const it = quilt(name);
      return doing(`finish ${name}`, () => {
        it.state = 'finished';
        return quiltDocument(it);
      });
    }],
    ['POST', /^\/api\/quilts\/([^/]+)\/made$/, ([, name], { body }) => {
      if (body.places) {
        return doing(`cross ${body.places.length} blocks off`, () => {
          for (const [r, c] of body.places) quilt(name).places[r - 1][c - 1].block = `b-${r}-${c}`;
          return { made: [], unsure: [], again: [], left: 0, done: `Crossed off ${body.places.length} blocks` };
        });
      }
      const place = quilt(name).places[body.place[0] - 1]?.[body.place[1] - 1];
      if (!place) throw new Refused(400, 'quilt.place', `There is no place ${body.place} in ${name}.`, 'Rows and columns count from 1.');
      return doing(body.undo ? 'take a cross away' : 'cross a block off', () => {
        place.block = body.undo ? null : `b-${body.place.join('-')}`;
        return { made: [], unsure: [], again: [], left: 0 };
      });
    }],
    ...['GET', 'POST'].map((method) => [method, /^\/api\/quilts\/([^/]+)\/next$/, ([, name], { query, body }) => {
      const it = quilt(name);
      const random = randomNumbers(Number(body?.seed ?? query.get('seed') ?? 1) * 7919);
      const most = Number(body?.count ?? query.get('count') ?? 1);
      const blocks = [];
      for (let r = 0; r < it.places.length; r++) {
        for (let c = 0; c < it.places[r].length; c++) {
          const place = it.places[r][c];
          if (place.block) continue;
          const pick = (role) => {
            if (role === 'background') return { role, fabric: null, swatch: false };
            const fabric = book.fabrics[Math.floor(random() * book.fabrics.length)] ?? { fabric: null, name: '', srgb: [180, 180, 180], swatch: false };
            return { role, ...look(fabric), alternatives: book.fabrics.slice(0, 3).map(look) };
          };
          blocks.push({
            kind: place.kind, turn: place.turn, place: [r + 1, c + 1], alike_most: 0.3,
            patches: it.kindPatches[place.kind].map((row) => row.map((patch) => ({ ...pick(patch.roles[0]), split: patch.split, ...(patch.roles[1] ? { other: pick(patch.roles[1]) } : {}) }))),
          });
          if (blocks.length >= most) return { blocks, pull: pullOf(blocks) };
        }
      }
      return { blocks, pull: pullOf(blocks) };
    }]),
    ['GET', /^\/api\/quilts\/([^/]+)\/buy$/, ([, name]) => buyOf(quilt(name))],
    ['GET', /^\/api\/record$/, () => recordOf(book)],
    ['GET', /^\/api\/settings$/, () => book.settings],
    ['PUT', /^\/api\/settings$/, (_, { body }) => {
      if (/^(0|-)/.test(String(body.unit ?? '')) || /\/0/.test(String(body.unit ?? ''))) {
        throw new Refused(400, 'length.range', `“${body.unit}” is no length that squares can be cut to.`, 'Write it like 2 1/2 in or 60 mm.');
      }
      return doing('change a setting', () => Object.assign(book.settings, body));
    }],
    ['POST', /^\/api\/(undo|redo)$/, ([, verb]) => {
      const last = book[verb].pop();
      if (!last) throw new Refused(409, `store.nothing-to-${verb}`, `There is nothing to ${verb}.`, '');
      book[verb === 'undo' ? 'redo' : 'undo'].push({ what: last.what, before: snapshot(book) });
      Object.assign(book, JSON.parse(last.before));
      changed();
      return { done: `${verb === 'undo' ? 'Undone' : 'Redone'}: ${last.what}` };
    }],
  ];

  const pictures = [
    [/^\/api\/photos\/([^/]+)\/plan\.jpg$/, ([, id]) => planPicture(photo(id))],
    [/^\/api\/fabrics\/([^/]+)\/swatch\.jpg$/, ([, id]) => swatchPicture(book.fabrics.find((one) => one.fabric === id)?.srgb ?? [1, 1, 1])],
    [/^\/api\/designs\/([^/]+)\/(?:picture\.svg|small\.png)$/, ([, name]) => (name === 'sails' ? designPicture(sailKinds, [['sail', 'sail'], ['sail', 'sail']])
      : designPicture(name === 'lattice-chain' ? latticeKinds : { p: roles('S B S / B S B / S B S') }, name === 'lattice-chain' ? latticeRepeat : [['p', 'p'], ['p', 'p']]))],
    [/^\/api\/plan\/picture\.svg$/, () => designPicture(latticeKinds, latticeRepeat)],
    [/^\/api\/quilts\/([^/]+)\/cloth\.svg$/, () => designPicture(latticeKinds, latticeRepeat)],
    [/^\/api\/quilts\/([^/]+)\/(?:chart\.svg|small\.png)$/, ([, name]) => (quilt(name), designPicture(latticeKinds, latticeRepeat))],
  ];

  const news = (response) => response.writeHead(200, { ...headers, 'Content-Type': 'text/event-stream' });

  const server = createServer(async (request, response) => {
    const url = new URL(request.url, 'http://mock');
    const path = decodeURIComponent(url.pathname);
    const chunks = [];
    for await (const chunk of request) chunks.push(chunk);
    const text = (type, body, status = 200) => {
      response.writeHead(status, { ...headers, 'Content-Type': type });
      response.end(body);
    };
    try {
      if (!path.startsWith('/api/')) {
        const file = normalize(path === '/' ? 'index.html' : path.slice(1));
        try {
          text(types[extname(file)] ?? 'application/octet-stream', await readFile(ui + file));
        } catch {
          text('text/plain', 'no such file', 404);
        }
        return;
      }
      if (path === '/api/events') {
        news(response);
        response.write(': hello\n\n');
        book.listeners.add(response);
        request.on('close', () => book.listeners.delete(response));
        response.on('close', () => book.listeners.delete(response));
        return;
      }
      const job = /^\/api\/jobs\/([^/]+)\/events$/.exec(path)?.[1];
      if (job) {
        const it = book.jobs.get(job);
        news(response);
        const steps = [[0.1, 'Looking for the card'], [0.4, 'Straightening the picture'], [0.7, 'Finding the scraps'], [0.9, 'Counting squares']];
        for (const [done, doingWords] of steps) {
          response.write(`event: progress\ndata: ${JSON.stringify({ done, doing: doingWords })}\n\n`);
          await new Promise((resolve) => setTimeout(resolve, /slow/.test(it.name) ? 1200 : 60));
          if (it.stopped || response.closed) return void response.end();
        }
        if (/nocard/.test(it.name)) {
          response.end(`event: failed\ndata: ${JSON.stringify({ error: { code: 'photo.no-card', message: 'No card was found in this photo.', hint: 'Lay the whole card beside the scraps, all four corners in view.' } })}\n\n`);
          return;
        }
        const id = `p${book.photos.length + 1}`;
        const fresh = makePhoto(id, it.name, it.source, 6, 17, makeFabrics(fabricRows));
        doing(`keep ${it.name}`, () => book.photos.unshift(fresh));
        response.end(`event: done\ndata: ${JSON.stringify({ result: { photos: [fresh] } })}\n\n`);
        return;
      }
      if (scene === 'trouble' && !/book|settings/.test(path)) throw new Refused(500, 'store.locked', 'Another program is writing to the book.', 'Close it, or wait a moment, and try again.');
      if (/^\/api\/print\//.test(path)) return void text('application/pdf', '%PDF-1.4\n%%EOF\n');
      for (const [pattern, draw] of pictures) {
        const match = pattern.exec(path);
        if (match) return void text('image/svg+xml', draw(match));
      }
      for (const [method, pattern, run] of routes) {
        const match = method === request.method && pattern.exec(path);
        if (!match) continue;
        const raw = Buffer.concat(chunks);
        const body = raw.length > 0 && request.headers['content-type']?.includes('json') ? JSON.parse(raw) : {};
        const key = request.headers['idempotency-key'];
        if (key && book.sent.has(key)) throw new Refused(409, 'store.sent-before', 'This was sent before and is done already.', 'Nothing needs doing; it was not done twice.');
        const { status = 200, ...answer } = run(match, { body, query: url.searchParams });
        if (key) book.sent.add(key);
        return void text('application/json', JSON.stringify(answer), status);
      }
      throw none(path);
    } catch (trouble) {
      if (!(trouble instanceof Refused)) console.error(trouble);
      text('application/json', JSON.stringify(trouble.document ?? { error: { code: 'mock', message: String(trouble), hint: '' } }), trouble.status ?? 500);
    }
  });
  await new Promise((resolve) => server.listen(port, '127.0.0.1', resolve));
  return {
    url: `http://127.0.0.1:${server.address().port}/`, book,
    close: () => new Promise((resolve) => {
      server.closeAllConnections();
      server.close(resolve);
    }),
  };
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { url } = await startMock(process.argv[2] ?? 'demo', Number(process.argv[3] ?? 0));
  console.log(url);
}
