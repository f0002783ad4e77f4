// What a maker may write, as an attacker would: markup in every text field, shown by every view, picture
// and sheet. Nothing of it runs, no policy is broken, nothing leaves the server. And a foreign page, which
// may neither frame ours, read from it nor change anything. Against the program. Prints TAP.
//
//   node tests/page/payloads.mjs PROGRAM
import { spawnSync } from 'node:child_process';
import { createServer } from 'node:http';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, finish, laptop, launch, openPage, same, test } from './browser.mjs';
import { start } from './program.mjs';
import { cookiesFor } from './session.mjs';

const program = process.argv[2];
const { address, stop } = await start(program);
const browser = await launch();

const payloads = [
  '<script>window.ran=1</script>',
  '"><img src=http://motley.test:9/x onerror=window.ran=1>',
  `'"><svg onload=window.ran=1><a xlink:href="javascript:window.ran=1">`,
  ']]></text><script>window.ran=1</script>',
];

const send = async (method, path, body) => {
  const answer = await fetch(`${address}/api${path}`, {
    method, headers: { 'Content-Type': 'application/json', Origin: address }, body: JSON.stringify(body),
  });
  if (!answer.ok) throw new Error(`${method} ${path}: ${await answer.text()}`);
  return answer.json();
};
const read = async (path) => {
  const answer = await fetch(`${address}${path}`);
  return { status: answer.status, type: answer.headers.get('content-type'), policy: answer.headers.get('content-security-policy'), text: Buffer.from(await answer.arrayBuffer()) };
};

const quilt = `Q ${payloads[0]}${payloads[1]}`;
const design = 'attack';

await test('markup_can_be_written_into_every_field', async () => {
  await send('POST', '/basket/add', { count: 20, source: payloads[0] });
  await send('POST', '/basket/add', { count: 20, source: payloads[1] });
  await send('PUT', '/fabrics/1', { name: payloads[2], note: payloads[3] });
  await send('PUT', '/fabrics/2', { name: payloads[0], note: payloads[1] });
  await send('PUT', `/tools/rulers/${encodeURIComponent(payloads[2].replaceAll('/', ''))}`, { size: '12x6' });
  await send('POST', '/designs', { design, text: `name ${payloads[0]}\nabout ${payloads[1]}\nblock a S B / B S\nrepeat a\n` });
  await send('POST', '/quilts', { quilt, design, across: 3, down: 3, unit: '2.5in' });
  await send('POST', `/quilts/${encodeURIComponent(quilt)}/fabric`, { role: 'background', fabric: 1 });
  await send('POST', `/quilts/${encodeURIComponent(quilt)}/made`, { place: [1, 1] });
});

const name = encodeURIComponent(quilt);
await test('no_view_runs_it', async () => {
  const page = await openPage(browser, address, laptop);
  await page.addInitScript(() => {
    window.broken = [];
    document.addEventListener('securitypolicyviolation', (it) => window.broken.push(`${it.violatedDirective} ${it.blockedURI}`));
  });
  page.setDefaultTimeout(20000);
  page.on('dialog', (it) => { page.faults.push(`a dialog: ${it.message()}`); it.dismiss(); });
  const views = [['basket'], ['basket', 'weigh'], ['scraps'], ['quilts'], ['designs'], ['designs', design], ['record'], ['settings'], ['tools'], ['fabrics', '1'],
    ['quilts', quilt], ['quilts', quilt, 'next'], ['quilts', quilt, 'buy'], ['quilts', quilt, 'sew'], ['quilts', quilt, 'story'], ['quilts', quilt, 'finish'], ['years']];
  let shown = 0;
  for (const view of views) {
    await page.place(...view).catch((trouble) => { throw new Error(`${view.join('/')}: ${trouble.message}: ${page.faults.join('; ')}`); });
    same(await page.evaluate(() => [window.ran ?? null, window.broken]), [null, []], view.join('/'));
    if ((await page.locator('body').innerText()).includes('window.ran=1')) shown++;
  }
  same(page.faults, [], 'faults');
  expect(shown >= 4, `only ${shown} views show what was written`);
  await page.close2();
});

await test('no_picture_runs_it', async () => {
  const page = await openPage(browser, address, laptop);
  for (const path of [`/api/quilts/${name}/chart.svg`, `/api/quilts/${name}/picture.svg`, `/api/quilts/${name}/where.svg`, `/api/designs/${design}/picture.svg`]) {
    const { status, type, policy, text } = await read(path);
    same([status, type], [200, 'image/svg+xml'], path);
    expect(/default-src 'none'.*sandbox/.test(policy), `${path}: ${policy}`);
    const faults = await page.evaluate((svg) => {
      const picture = new DOMParser().parseFromString(svg, 'image/svg+xml');
      return [...picture.querySelectorAll('*')].filter((it) => /^(script|foreignObject|parsererror|iframe|a)$/i.test(it.localName)
        || [...it.attributes].some((one) => /^on/i.test(one.name) || /javascript:/i.test(one.value))).map((it) => it.outerHTML.slice(0, 80));
    }, text.toString());
    same(faults, [], path);
    await page.goto(`${address}${path}`);
    same(await page.evaluate(() => window.ran ?? null), null, path);
  }
  await page.close2();
});

await test('no_sheet_carries_an_action', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'motley-sheets-'));
  for (const what of ['chart', 'map', 'rows', 'label', 'shopping', 'story', 'sew', 'design']) {
    const { status, text } = await read(`/api/print/${what}.pdf?${what === 'design' ? `design=${design}&across=3&down=3&unit=2.5in` : `quilt=${name}`}`);
    same([status, text.subarray(0, 5).toString()], [200, '%PDF-'], what);
    writeFileSync(join(folder, 'sheet.pdf'), text);
    const plain = spawnSync('qpdf', ['--qdf', '--object-streams=disable', join(folder, 'sheet.pdf'), '-'], { encoding: 'latin1' });
    expect(plain.status === 0, `${what}: ${plain.stderr}`);
    expect(!/\/(JavaScript|JS|Launch|OpenAction|AA|URI|EmbeddedFile|SubmitForm)\b/.test(plain.stdout), `${what} has an action`);
  }
  rmSync(folder, { recursive: true });
});

await test('a_foreign_page_can_neither_frame_read_nor_change', async () => {
  const foreign = createServer((asked, answer) => {
    answer.setHeader('Content-Type', 'text/html');
    answer.end(`<iframe id=f src="${address}/"></iframe><form id=g method=post enctype=text/plain action="${address}/api/undo"><input name='{"a":"' value='"}'></form>`);
  });
  await new Promise((resolve) => { foreign.listen(0, '127.0.0.1', resolve); });
  const before = (await (await fetch(`${address}/api/book`)).text());
  const context = await browser.newContext();
  await context.addCookies(cookiesFor(address)); // also of a browser that is let in
  const page = await context.newPage();
  // A name that was pointed here: what DNS rebinding comes to.
  const rebound = await page.goto(address.replace('127.0.0.1', 'motley.test').replace('localhost', 'motley.test')).catch(() => null);
  same(rebound?.status(), 421, 'a foreign name for our address');
  await page.goto(`http://motley.test:${foreign.address().port}/`);
  const framed = page.frames().find((it) => it !== page.mainFrame());
  const words = framed ? await framed.evaluate(() => document.body?.innerText ?? '').catch(() => '') : '';
  expect(!/basket|Basket/.test(words), `the frame shows: ${words.slice(0, 80)}`);
  const tries = await page.evaluate(async (base) => {
    const outcome = async (path, init) => {
      try {
        const answer = await fetch(base + path, init);
        return answer.type === 'opaque' ? 'opaque' : String(answer.status);
      } catch { return 'failed'; }
    };
    const json = { 'Content-Type': 'application/json' };
    return [
      await outcome('/api/basket'), await outcome('/api/basket', { mode: 'no-cors' }),
      await outcome('/api/undo', { method: 'POST' }), await outcome('/api/undo', { method: 'POST', headers: json, body: '{}' }),
      await outcome('/api/undo', { method: 'POST', mode: 'no-cors', body: '{}' }),
      await outcome('/api/quilts/Tideline', { method: 'DELETE' }),
      await outcome('/api/settings', { method: 'PUT', headers: json, body: '{"unit":"3in"}' }),
      navigator.sendBeacon(`${base}/api/undo`, '{}') ? 'sent' : 'not sent',
      await new Promise((resolve) => {
        const image = new Image();
        image.onload = () => resolve('image'); image.onerror = () => resolve('no image');
        image.src = `${base}/api/quilts/Tideline/chart.svg`;
      }),
      await new Promise((resolve) => {
        const script = document.createElement('script');
        script.onload = () => resolve('script'); script.onerror = () => resolve('no script');
        script.src = `${base}/main.js`;
        document.head.append(script);
      }),
    ];
  }, address);
  for (const one of tries) expect(!/^(200|202|304|image|script)$/.test(one), `a foreign page got: ${tries.join(', ')}`);
  await page.evaluate(() => document.getElementById('g').submit());
  await page.waitForLoadState();
  same(await (await fetch(`${address}/api/book`)).text(), before, 'the book after a foreign page');
  await context.close();
  foreign.close();
});

await browser.close();
await test('the_program_stops_in_order', async () => same(await stop(), 0, 'exit status'));
finish();
