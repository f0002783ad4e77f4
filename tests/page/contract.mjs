// Holds a running server to docs/openapi.json: asks for every operation that it describes
// and checks each answer, its status, its type and its document, against the schema.
//
// usage: node tests/page/contract.mjs MOTLEY
//
// MOTLEY is the program; it serves a demo book in a folder of its own, which goes away
// again. Prints TAP.
import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import { start } from './program.mjs';

const [program] = process.argv.slice(2);
const photo = new URL('../photos/scraps-1.jpg', import.meta.url);

const { address, stop } = await start(program);
const openapi = await (await fetch(`${address}/openapi.json`)).json();
const ajv = new Ajv2020({ strict: false, allErrors: true });
ajv.addSchema(openapi, 'openapi');

const left = new Set(Object.entries(openapi.paths).flatMap(([path, methods]) =>
  Object.keys(methods).map((method) => `${method.toUpperCase()} ${path}`)));
let number = 0;
let faults = 0;

function report(what, complaints) {
  number++;
  if (complaints.length) faults++;
  console.log(`${complaints.length ? 'not ok' : 'ok'} ${number} - ${what}`);
  for (const line of complaints) console.log(`# ${line}`);
}

/** What is wrong with a document, by a schema of the description. */
function complaintsOf(schema, document) {
  const fits = ajv.compile({ $ref: `openapi#${schema}` });
  if (fits(document)) return [];
  return fits.errors.slice(0, 8).map(({ instancePath, message, params }) =>
    `${instancePath || '/'} ${message} ${JSON.stringify(params)}`);
}

const pointer = (...keys) => keys.map((key) => `/${String(key).replace(/~/g, '~0').replace(/\//g, '~1')}`).join('');

/** Looks an answer over; returns its document where it has one. */
async function check(operation, answer, wanted) {
  const [method, path] = operation.split(' ');
  const complaints = [];
  const described = openapi.paths[path]?.[method.toLowerCase()];
  const status = String(answer.status);
  if (wanted && answer.status !== wanted) complaints.push(`status ${status}, not ${wanted}`);
  const of = described.responses[status]
    ? ['paths', path, method.toLowerCase(), 'responses', status]
    : ['components', 'responses', 'Failed'];
  const response = of.reduce((at, key) => at[key], openapi);
  const type = (answer.headers.get('content-type') ?? '').split(';')[0];
  let document = null;
  if (!response.content?.[type]) {
    complaints.push(`type ${type} is not described`);
  } else if (type === 'application/json') {
    document = await answer.json();
    complaints.push(...complaintsOf(pointer(...of, 'content', type, 'schema'), document));
  } else if (type === 'text/event-stream') {
    await answer.body.cancel();
  } else if ((await answer.arrayBuffer()).byteLength === 0) {
    complaints.push('empty');
  }
  if (document?.error && !document.job && wanted < 400) complaints.push(JSON.stringify(document.error));
  report(`${operation} ${status}`, complaints);
  return document;
}

/** Asks for an operation with the fields of its path filled in. */
async function ask(operation, { fields = {}, query = {}, body, key, status = 200 } = {}) {
  left.delete(operation);
  const [method, path] = operation.split(' ');
  const filled = path.replace(/{(\w+)}/g, (_, name) => encodeURIComponent(fields[name]));
  const search = new URLSearchParams(query).toString();
  const raw = body instanceof Uint8Array;
  const answer = await fetch(`${address}${filled}${search && `?${search}`}`, {
    method,
    headers: { ...(body === undefined ? {} : { 'Content-Type': raw ? 'image/jpeg' : 'application/json' }), ...(key ? { 'Idempotency-Key': key } : {}) },
    body: body === undefined || raw ? body : JSON.stringify(body),
  });
  return check(operation, answer, status);
}

/** Follows a job to its end, as far as a minute goes. */
async function ended(id) {
  for (let tries = 0; tries < 600; tries++) {
    const job = await (await fetch(`${address}/api/jobs/${id}`)).json();
    if (['done', 'failed', 'cancelled'].includes(job.state)) return job;
    await new Promise((later) => setTimeout(later, 100));
  }
  throw new Error(`job ${id} does not end`);
}

/** A photo with scraps in it, and one that is none. */
async function photos() {
  const body = new Uint8Array(readFileSync(photo));
  const query = { name: 'Table.jpg', source: 'Harbour' };
  const { job } = await ask('PUT /api/photos', { query, body, status: 202 });
  await ask('GET /api/jobs/{job}/events', { fields: { job } });
  const { result, error } = await ended(job);
  report('a photo is measured', result ? complaintsOf('/components/schemas/Measured', result) : [JSON.stringify(error)]);
  await ask('GET /api/jobs/{job}', { fields: { job } });

  const none = await ask('PUT /api/photos', { query, body: new Uint8Array([1, 2, 3]), status: 202 });
  const { state } = await ended(none.job);
  report('what is no photo is refused', state === 'failed' ? [] : [state]);
  await ask('GET /api/jobs/{job}', { fields: none });
  await ask('DELETE /api/jobs/{job}', { fields: none });
  await ask('GET /api/jobs/{job}', { fields: { job: 'none' }, status: 404 });
  return ask('GET /api/photos');
}

async function scraps(photoList) {
  await ask('GET /api/scraps');
  const [first] = photoList.photos;
  const fields = { photo: first.photo };
  const { scraps: found } = await ask('GET /api/photos/{photo}', { fields });
  await ask('GET /api/photos/{photo}/plan.jpg', { fields });
  const lying = found.filter((one) => one.state === 'lying');
  const [one, other] = lying;
  const scrap = { scrap: one.id };
  await ask('POST /api/scraps/{scrap}/throw', { fields: scrap });
  await ask('POST /api/scraps/{scrap}/keep', { fields: scrap });
  await ask('POST /api/scraps/{scrap}/say', { fields: scrap, body: { fabric: 'new' } });
  await ask('PUT /api/scraps/{scrap}/outline', { fields: scrap, body: { outline_in: one.outline_in, holes_in: one.holes_in } });
  await mend(fields, one, other);
  await ask('POST /api/cut', { body: { scraps: lying.map(({ id }) => id) } });
  await ask('POST /api/cut', { body: { rect: '10 x 12 in', want: '2in:1,5in:7' } });
  await ask('POST /api/cut', { body: { rect: '10 x 12 in', want: '2in,5in,1.5x6in', stages: 'two', no_turn: true, trim: '1/4 in' } });
  await ask('POST /api/cut', { body: { scraps: lying.map(({ id }) => id), want: '1.5in:2,2.5in:7' } });
  await ask('POST /api/cut', { body: { rect: '18 x 9 1/2 in', selvage: true, method: 'easiest', tolerance: 0 } });
  await ask('POST /api/cut', { body: { rect: '4 x 4 in', unit: '9 in', ruler: 'none of hers' }, status: 404 });
  await ask('POST /api/cut', { body: { outline: one.outline_in }, status: 400 });
  await ask('GET /api/pile', { query: { unit: '2in' } });
  await ask('GET /api/tools');
  await ask('PUT /api/tools/rulers/{name}', { fields: { name: 'slotted' }, body: { size: '12.5 x 6.5 in', slots: 13, pitch: '0.5 in' } });
  await ask('PUT /api/tools/rulers/{name}', { fields: { name: 'narrow' }, body: { size: '12 x 1 in' } });
  await ask('PUT /api/tools/mat', { body: { size: '24 x 18 in', turns: true } });
  await ask('PUT /api/tools/cutting', { body: { tolerance: 2, trim: '1/8 in', whole: '18 x 12 in', least_squares: 2, string: '8 x 1 in' } });
  await ask('PUT /api/tools/cutting', { body: { tolerance: 50 }, status: 400 });
  await ask('POST /api/tools/times', { body: { passes: 12, cuts: 40, turns: 3, handled: 4, seconds: 600 } });
  await ask('GET /api/rulers', { query: { unit: '2in' } });
  await ask('DELETE /api/tools/rulers/{name}', { fields: { name: 'narrow' } });
  await ask('DELETE /api/tools/rulers/{name}', { fields: { name: 'narrow' }, status: 404 });
  await ask('POST /api/basket/weigh', { body: { sample: 20, sample_weight: 14.2, pile_weight: '310.5' } });
  await ask('POST /api/cut/done', { body: { scraps: [{ scrap: other.id, squares: 2 }] } });
  await ask('DELETE /api/photos/{photo}', { fields });
}

/** Every way to mend an outline and to answer a question. */
async function mend(photo, one, other) {
  const fields = { scrap: one.id };
  const xs = one.outline_in.map(([x]) => x);
  const ys = one.outline_in.map(([, y]) => y);
  const x = (Math.min(...xs) + Math.max(...xs)) / 2;
  const line = [[x, Math.min(...ys) - 1], [x, Math.max(...ys) + 1]];
  const was = { was_in: [[0, 0], [1, 0], [1, 1]] };
  await ask('PUT /api/scraps/{scrap}/outline', { fields, body: { outline_in: one.outline_in, ...was }, status: 409 });
  const { scraps: parts } = await ask('POST /api/scraps/{scrap}/part', { fields, body: { line_in: line, was_in: one.outline_in } });
  await ask('POST /api/scraps/join', { body: { scraps: parts.map(({ id }) => id) } });
  await ask('POST /api/scraps/join', { body: { scraps: [one.id, one.id] }, status: 409 });
  await ask('POST /api/scraps/{scrap}/part', { fields, body: { line_in: [[90, 90], [91, 91]] }, status: 409 });
  await ask('POST /api/scraps/same', { body: { scraps: [one.id, other.id] } });
  await ask('POST /api/scraps/{scrap}/again', { fields: { scrap: other.id }, body: { of: one.id } });
  await ask('POST /api/scraps/{scrap}/again', { fields: { scrap: other.id }, body: { of: null } });
  await ask('GET /api/questions');
  await ask('POST /api/photos/{photo}/settle', { fields: photo, body: { remark: 999 }, status: 400 });
  await ask('DELETE /api/scraps/{scrap}', { fields: { scrap: other.id } });
  await ask('DELETE /api/scraps/{scrap}', { fields: { scrap: other.id }, status: 404 });
  const [cx, cy] = [0, 1].map((axis) => other.outline_in.reduce((sum, point) => sum + point[axis], 0) / other.outline_in.length);
  const { job } = await ask('POST /api/photos/{photo}/grow', { fields: photo, body: { taps_in: [[cx, cy], [cx + 0.2, cy]] }, status: 202 });
  const { result, error } = await ended(job);
  report('a scrap that was missed is grown', result ? complaintsOf('/components/schemas/Scrap', result) : [JSON.stringify(error)]);
  await ask('POST /api/undo');
  await ask('POST /api/undo');
}

async function fabrics() {
  await ask('GET /api/sources');
  const { fabrics: all } = await ask('GET /api/fabrics');
  const one = all.find(({ swatch }) => swatch) ?? all[0];
  const fields = { fabric: one.fabric };
  await ask('GET /api/fabrics/{fabric}', { fields });
  await ask('PUT /api/fabrics/{fabric}', { fields, body: { name: 'Sail cloth', note: 'Washed', value: 'light' } });
  const as = all.find(({ fabric }) => fabric !== one.fabric);
  await ask('POST /api/fabrics/{fabric}/same', { fields, body: { as: as.fabric } });
  await ask('POST /api/fabrics/{fabric}/same', { fields, body: { as: null } });
  await ask('GET /api/fabrics', { query: { find: 'e' } });
  await ask('GET /api/fabrics', { query: { basket: true, limit: 5 } });
  await ask('GET /api/fabrics/{fabric}/swatch.jpg', { fields, status: one.swatch ? 200 : 404 });
}

/** Blocks beside the card: crossed off by photo, and told where they go. */
async function photographing() {
  const quilt = { quilt: 'Spring Tide' };
  await ask('POST /api/quilts', { body: { ...quilt, design: 'lattice-chain', across: 4, down: 4, unit: '2in' } });
  const body = new Uint8Array(readFileSync(new URL('../photos/blocks-1.jpg', import.meta.url)));
  const made = await ended((await ask('PUT /api/quilts/{quilt}/made.photo', { fields: quilt, body, status: 202 })).job);
  report('blocks are crossed off by photo', made.result ? complaintsOf('/components/schemas/Photographed', made.result) : [JSON.stringify(made.error)]);
  await ask('GET /api/blocks/{block}/picture.jpg', { fields: { block: made.result.made[0].block } });
  await ask('GET /api/blocks/{block}/picture.jpg', { fields: { block: 999999 }, status: 404 });
  const fields = { block: made.result.made[0].block };
  await ask('POST /api/blocks/{block}/patch', { fields, body: { place: 1, fabric: 'new' } });
  await ask('POST /api/blocks/{block}/patch', { fields, body: { place: 1, fabric: null } });
  await ask('POST /api/blocks/{block}/patch', { fields, body: { place: 99 }, status: 400 });
  const placed = await ended((await ask('PUT /api/quilts/{quilt}/place.photo', { fields: quilt, body, status: 202 })).job);
  const kept = await ended((await ask('PUT /api/quilts/{quilt}/picture', { fields: quilt, body, status: 202 })).job);
  report('a picture of the quilt is kept', kept.result?.picture ? complaintsOf('/components/schemas/Story', kept.result) : [JSON.stringify(kept)]);
  await ask('GET /api/quilts/{quilt}/picture.jpg', { fields: quilt });
  const cloth = await ended((await ask('PUT /api/backgrounds/photo', { body, status: 202 })).job);
  report('a photographed fabric is ranked as a background', cloth.result ? complaintsOf('/components/schemas/Backgrounds', cloth.result) : [JSON.stringify(cloth)]);
  const like = await ended((await ask('PUT /api/fabrics/photo', { body, status: 202 })).job);
  report('a photo is held against the fabrics', like.result ? complaintsOf('/components/schemas/Likeness', like.result) : [JSON.stringify(like)]);
  report('blocks are told where they go', placed.result ? complaintsOf('/components/schemas/Placed', placed.result) : [JSON.stringify(placed.error)]);
}

/** This server answers its machine alone, so no other device is paired; devices.mjs pairs. */
async function pairing() {
  await ask('POST /api/pair', { body: {}, status: 409 });
  await ask('POST /api/pair/claim', { body: { code: 'none', name: 'Tablet' }, status: 403 });
  await ask('GET /api/devices');
  await ask('DELETE /api/devices/{device}', { fields: { device: 99 }, status: 404 });
}

/** The book is looked over, and is kept before a copy is taken back. */
async function keeping() {
  const { job } = await ask('POST /api/check', { status: 202 });
  const { result, error } = await ended(job);
  report('the book is looked over', result ? complaintsOf('/components/schemas/Done', result) : [JSON.stringify(error)]);
  await ask('GET /api/copies');
  const none = await ask('POST /api/copies/{copy}/restore', { fields: { copy: '1999-12-31' }, status: 202 });
  const { state } = await ended(none.job);
  report('a copy that is not there is refused', state === 'failed' ? [] : [state]);
}

async function arranging(quilt) {
  await ask('POST /api/quilts/{quilt}/made', { fields: quilt, body: { kind: 'plain', count: 4 } });
  const { places } = await ask('GET /api/quilts/{quilt}/wall', { fields: quilt });
  const taken = places.flatMap((row, r) => row.flatMap(({ block }, c) => (block ? [[r + 1, c + 1]] : [])));
  const open = places.flatMap((row, r) => row.flatMap(({ block }, c) => (block ? [] : [[r + 1, c + 1]])));
  await ask('POST /api/quilts/{quilt}/swap', { fields: quilt, body: { a: taken[0], b: taken[1] } });
  await ask('POST /api/quilts/{quilt}/turn', { fields: quilt, body: { place: taken[0] } });
  await ask('POST /api/quilts/{quilt}/turn', { fields: quilt, body: { place: open[0] }, status: 409 });
  await ask('POST /api/quilts/{quilt}/pin', { fields: quilt, body: { place: taken[0] } });
  const { job } = await ask('POST /api/quilts/{quilt}/arrange', { fields: quilt, body: { seconds: 0.2, layout: 'rings', nest: true }, status: 202 });
  const { result, error } = await ended(job);
  report('blocks are arranged', result ? complaintsOf('/components/schemas/Arrangement', result) : [JSON.stringify(error)]);
  await ask('POST /api/quilts/{quilt}/arrange/keep', { fields: quilt, body: { places: result.places } });
}

async function quilts() {
  await ask('GET /api/backgrounds', { query: { count: 5 } });
  await ask('GET /api/backgrounds', { query: { from: 'fabrics' } });
  const { designs } = await ask('GET /api/designs');
  await ask('GET /api/designs', { query: { block: 3 } });
  const fields = { design: designs[0].design };
  await ask('GET /api/designs/{design}', { fields });
  await ask('GET /api/designs/{design}/picture.svg', { fields });
  await ask('GET /api/designs/{design}/small.png', { fields });
  for (const { design } of designs) {
    await ask('GET /api/plan', { query: { design, size: '60 x 72 in' } });
    await ask('GET /api/buy', { query: { design, size: '60 x 72 in', border: '3 in' } });
  }
  const star = 'name Evening star\nblock star B S/B B / S\\B S B\\S / B B S\nrepeat star star+1\nborder 1 patch A mitred\n';
  await ask('POST /api/designs/check', { body: { text: star } });
  await ask('POST /api/designs/check', { body: { text: star.replace('star+1', 'moon') }, status: 409 });
  await ask('POST /api/designs', { body: { text: star } });
  await ask('POST /api/designs', { body: { text: star }, status: 409 });
  await ask('POST /api/designs', { body: { text: star, replace: true } });
  await ask('GET /api/designs', { query: { own: true, triangles: 'yes', scraps: 10 } });
  await ask('GET /api/designs/{design}/text', { fields: { design: 'evening-star' } });
  await ask('GET /api/beds');
  const plan = { design: 'evening-star', cover: 'bed:queen:us', drop: '12in', even: true, sash: '1in', cornerstones: true, border: '3in accent mitred' };
  await ask('GET /api/plan', { query: plan });
  await ask('GET /api/plan/picture.svg', { query: plan });
  await ask('GET /api/buy/cloth.svg', { query: { ...plan, item: 'accent' } });
  await ask('GET /api/print/{what}.pdf', { fields: { what: 'design' }, query: plan });
  await ask('GET /api/plan', { query: { ...plan, cover: 'bed:giant:us' }, status: 400 });
  await ask('DELETE /api/designs/{design}', { fields: { design: 'evening-star' } });
  await ask('DELETE /api/designs/{design}', { fields: { design: 'nine-patch' }, status: 409 });
  await ask('GET /api/plan', { query: { design: 'none', across: 3, down: 3 }, status: 404 });
  await ask('GET /api/plan', { query: { design: designs[0].design, across: 0, down: 0 }, status: 400 });
  await ask('POST /api/basket/add', { body: { count: 900 }, key: 'tap-900' });
  await ask('POST /api/basket/add', { body: { count: 900 }, key: 'tap-900', status: 409 }); // sent again, done once
  const quilt = { quilt: 'Küste / 1' };
  await ask('POST /api/quilts', { body: { ...quilt, design: 'lattice-chain', across: 4, down: 4 } });
  await ask('POST /api/quilts', { body: { ...quilt, design: 'lattice-chain', across: 4, down: 4 }, status: 409 });
  await ask('GET /api/quilts');
  await ask('GET /api/quilts/{quilt}', { fields: quilt });
  await ask('GET /api/quilts/{quilt}', { fields: { quilt: 'None' }, status: 404 });
  await ask('GET /api/quilts/{quilt}/sew', { fields: quilt, query: { next: 5, measured: '6 3/8 in' } });
  await ask('GET /api/years');
  await ask('GET /api/wants', { query: { size: '40 x 50 in' } });
  await ask('GET /api/quilts/{quilt}/record', { fields: quilt });
  await ask('GET /api/quilts/{quilt}/where.svg', { fields: quilt, query: { source: '' } });
  await ask('GET /api/quilts/{quilt}/where.svg', { fields: quilt, query: { source: 'Nowhere' }, status: 400 });
  await ask('GET /api/quilts/{quilt}/picture.jpg', { fields: quilt, status: 404 });
  await ask('GET /api/quilts/{quilt}/assemble', { fields: quilt, query: { by: 'quarters' } });
  await ask('POST /api/quilts/{quilt}/assembled', { fields: quilt, body: { step: 'row-1', measured: '18 in', done: true, middle: '18 x 18 in' } });
  await ask('POST /api/quilts/{quilt}/assembled', { fields: quilt, body: { step: 'none' }, status: 404 });
  await ask('GET /api/quilts/{quilt}/finish', { fields: quilt });
  await ask('POST /api/quilts/{quilt}/finishing', { fields: quilt, body: { step: 'baste', done: true, top: '60 x 70 in', limit: '8in', spacing: '4in', sleeve: '4in' } });
  await ask('GET /api/quilts/{quilt}/forecast', { fields: quilt, query: { per_week: 5 } });
  await ask('GET /api/quilts/{quilt}/next', { fields: quilt, query: { count: 2 } });
  await ask('POST /api/quilts/{quilt}/made', { fields: quilt, body: { place: [1, 1] } });
  await ask('POST /api/quilts/{quilt}/made', { fields: quilt, body: { place: [1, 1], undo: true } });
  await ask('POST /api/quilts/{quilt}/next', { fields: quilt, body: { count: 2, turn_over: 2 } });
  await pairing();
  await keeping();
  await photographing();
  await arranging(quilt);
  await ask('GET /api/quilts/{quilt}/buy', { fields: quilt });
  await ask('POST /api/quilts/{quilt}/bought', { fields: quilt, body: { item: 'background', length: '1 yd' } });
  await ask('POST /api/quilts/{quilt}/bought', { fields: quilt, body: { item: 'batting', ticked: true } });
  await ask('POST /api/quilts/{quilt}/bought', { fields: quilt, body: { item: 'lining' }, status: 404 });
  await ask('POST /api/quilts/{quilt}/fabric', { fields: quilt, body: { role: 'background', fabric: 1 } });
  await ask('GET /api/quilts/{quilt}/picture.svg', { fields: quilt });
  await ask('GET /api/quilts/{quilt}/cloth.svg', { fields: quilt, query: { item: 'background' } });
  await ask('GET /api/quilts/{quilt}/chart.svg', { fields: quilt });
  await ask('GET /api/quilts/{quilt}/small.png', { fields: quilt, query: { dark: true } });
  await ask('GET /api/print/{what}.pdf', { fields: { what: 'chart' }, query: { ...quilt, paper: 'a4' } });
  for (const form of ['svg', 'png']) await ask(`GET /api/print/{what}.${form}`, { fields: { what: 'picture' }, query: quilt });
  await ask('GET /api/print/{what}.pdf', { fields: { what: 'year' } });
  for (const what of ['rows', 'label', 'story', 'sew']) await ask('GET /api/print/{what}.pdf', { fields: { what }, query: { ...quilt, maker: 'Mira' } });
  await ask('POST /api/quilts/{quilt}/close', { fields: quilt });
  await ask('DELETE /api/quilts/{quilt}', { fields: quilt });
}

async function rest() {
  await ask('GET /api/book');
  await ask('GET /api/events');
  await ask('GET /openapi.json');
  await ask('GET /api/basket');
  await ask('POST /api/basket/take', { body: { count: 1 } });
  await ask('POST /api/basket/take', { body: { count: 900000 }, status: 409 });
  await ask('POST /api/basket/correct', { body: { count: 500 } });
  await ask('POST /api/basket/correct', { body: { count: 'many' }, status: 400 });
  await ask('POST /api/undo');
  await ask('POST /api/redo');
  await ask('GET /api/settings');
  await ask('PUT /api/settings', { body: { system: 'metric', paper: 'letter' } });
  await ask('GET /api/reuse');
  await ask('GET /api/reuse', { query: { quilt: 'Tideline' } });
  await ask('GET /api/record');
}

try {
  await scraps(await photos());
  await fabrics();
  await quilts();
  await rest();
  report('every operation was asked for', [...left]);
} catch (error) {
  report('the contract', [error.stack]);
}
const ending = await stop();
report('the program ends as it was asked to', ending === 0 ? [] : [`exit status ${ending}`]);
console.log(`1..${number}`);
process.exitCode = faults ? 1 : 0;
