// A phone and a tablet beside the laptop, on the real program and over the network: paired by
// the code on the screen, told what the others do, let in no more. Prints TAP.
//
//   node tests/page/devices.mjs MOTLEY
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { networkInterfaces, tmpdir } from 'node:os';
import { join } from 'node:path';
import { accessible, expect, finish, fits, launch, laptop, openPage, phone, picture, reachable, same, tablet, test } from './browser.mjs';
import { start } from './program.mjs';
import { strange } from './session.mjs';

const network = Object.values(networkInterfaces()).flat().find(({ family, internal }) => family === 'IPv4' && !internal)?.address;
if (!network) {
  console.log('1..0 # SKIP this machine is in no network');
  process.exit(0);
}

const [program] = process.argv.slice(2);
const { address, book, stop } = await start(program, ['--lan']);
const lan = `http://${network}:${new URL(address).port}/`;
const browser = await launch();

const say = async (base, method, path, body, headers = {}) => fetch(`${base}${path}`, {
  method, body: body && JSON.stringify(body), headers: { 'Content-Type': 'application/json', Origin: base.replace(/\/$/, ''), ...headers },
});
const offer = async () => (await say(`${address}/`, 'POST', 'api/pair', {})).json();
const codeOf = ({ addresses }) => addresses.find((one) => one.startsWith(lan)).slice(`${lan}#/pair/`.length);
const claim = (code, name) => say(lan, 'POST', 'api/pair/claim', { code, name });
const sql = (text) => spawnSync('sqlite3', [book, text], { encoding: 'utf8' }).stdout.trim();

/** Opens the page as a device that scans the code that is shown now. */
async function pair(size) {
  const page = await openPage(browser, lan, size);
  page.expected = /status of 401|Cross-Origin-Opener-Policy/; // plain HTTP gets no such policy
  await page.goto(`${lan}#/pair/${codeOf(await offer())}`);
  await page.locator('nav.places').waitFor();
  return page;
}

await test('a_device_that_is_not_paired_sees_how_to_pair_and_nothing_else', async () => {
  for (const size of [phone, laptop]) {
    const page = await openPage(browser, lan, size);
    page.expected = /status of 401|Cross-Origin-Opener-Policy/; // plain HTTP gets no such policy
    await page.goto(lan);
    await page.getByText('This device is not paired').waitFor();
    await accessible(page, 'not paired');
    await fits(page, 'not paired');
    await picture(page, `pair-how-${size.name}`);
    same(page.faults, [], 'faults');
    await page.close2();
  }
  same((await fetch(`${lan}api/book`)).status, 401, 'the book');
});

await test('a_browser_of_this_computer_is_let_in_by_a_command_and_stays_one_device', async () => {
  for (const path of ['api/book', 'main.js', 'openapi.json', 'api/nothing']) same((await strange(`${address}/${path}`)).status, 401, path);
  const own = address.replace('localhost', '127.0.0.1'); // where this test brings no cookie
  const page = await openPage(browser, `${own}/`, laptop);
  page.expected = /status of 401/;
  await page.goto(own);
  await page.getByText('run motley open in a terminal').waitFor();
  await accessible(page, 'new browser here');
  await fits(page, 'new browser here');
  await picture(page, 'open-how-laptop');
  const opened = () => JSON.parse(spawnSync(program, ['open', '--book', book, '--port', new URL(address).port, '--json'], { encoding: 'utf8' }).stdout).address.replace('localhost', '127.0.0.1');
  const count = () => Number(sql('SELECT count(*) FROM device'));
  const before = count();
  const first = opened();
  await page.goto('about:blank');
  await page.goto(first);
  await page.locator('nav.places').waitFor();
  same(count(), before + 1, 'devices once it is let in');
  // Again, now by a page of another site, which the cookie does not follow at once.
  const third = opened();
  const folder = mkdtempSync(join(tmpdir(), 'motley-open-'));
  writeFileSync(join(folder, 'open.html'), `<meta http-equiv="refresh" content="0; url=${third}">`);
  await page.goto(`file://${folder}/open.html`);
  await page.locator('nav.places').waitFor();
  same(count(), before + 1, 'devices when it comes again');
  await page.goto('about:blank');
  await page.goto(opened());
  await page.locator('nav.places').waitFor();
  same(count(), before + 1, 'devices when it comes a third time');
  // What held once does not hold for the next.
  const other = await openPage(browser, `${own}/`, laptop);
  other.expected = /status of 40[13]/;
  await other.goto(first);
  await other.getByText('This address does not hold any more').waitFor();
  await picture(other, 'open-late-laptop');
  await other.close2();
  await page.close2();
  rmSync(folder, { recursive: true });
});

await test('the_laptop_shows_a_code_that_a_phone_scans', async () => {
  const page = await openPage(browser, `${address}/`, laptop);
  await page.place('settings');
  await page.getByRole('button', { name: 'Pair a phone or tablet' }).click();
  await page.getByRole('img', { name: /^Code to scan/ }).waitFor();
  await accessible(page, 'pairing');
  await reachable(page, 'pairing');
  await page.getByRole('img', { name: /^Code to scan/ }).scrollIntoViewIfNeeded();
  await picture(page, 'pair-code-laptop');
  await page.getByText('Without a camera').click();
  const shown = (await page.locator('.pairing .path').allTextContents()).find((one) => one.startsWith(lan));
  const handheld = await openPage(browser, lan, phone);
  handheld.expected = /status of 401|Cross-Origin-Opener-Policy/;
  handheld.expected = /status of 401|Cross-Origin-Opener-Policy/;
  await handheld.goto(shown);
  await handheld.getByRole('heading', { level: 1, name: 'Scraps' }).waitFor();
  await handheld.getByText('Take a photo').first().waitFor();
  await picture(handheld, 'paired-phone');
  // The code leaves the screen, and the phone stands in the list.
  await page.locator('.pairing').waitFor({ state: 'detached' });
  await page.getByText('Phone', { exact: true }).waitFor();
  same(await handheld.evaluate(() => document.cookie), '', 'what a script sees of the cookie');
  same(page.faults, [], 'faults');
  same(handheld.faults, [], 'faults of the phone');
  await handheld.close2();
  await page.close2();
});

await test('a_tablet_opens_to_the_next_block', async () => {
  const page = await pair(tablet);
  await page.waitForFunction(() => /^#\/quilts\/.+\/next$/.test(location.hash));
  await page.getByRole('button', { name: 'Made it' }).waitFor();
  await picture(page, 'paired-tablet');
  await page.close2();
});

await test('a_code_holds_once_and_for_five_minutes', async () => {
  const first = codeOf(await offer());
  expect(/^[0-9a-f]{32}$/.test(first), `${first} has 128 bits`);
  same([(await claim(first, 'one')).status, (await claim(first, 'two')).status], [200, 403], 'claimed twice');
  const second = codeOf(await offer());
  const left = Number(sql('SELECT max(expires) - unixepoch() FROM pairing'));
  expect(left > 290 && left <= 300, `${left} seconds`);
  sql('UPDATE pairing SET expires = unixepoch()');
  const late = await claim(second, 'late');
  same([late.status, (await late.json()).error.code], [403, 'app.pair-code'], 'claimed too late');
  same(sql(`SELECT count(*) FROM device WHERE name IN ('two', 'late')`), '0', 'devices');
});

await test('the_book_keeps_neither_codes_nor_tokens', async () => {
  const code = codeOf(await offer());
  expect(sql('SELECT quote(code_sha256) FROM pairing').length > 60 && !sql('SELECT * FROM pairing').includes(code), 'the code is in the book');
  const answer = await claim(code, 'secret');
  const [, token] = /^motley_\d+=([0-9a-f]{64});/.exec(answer.headers.get('set-cookie'));
  expect(!sql('SELECT * FROM device').includes(token), 'the token is in the book');
});

await test('what_one_device_does_shows_on_the_other_by_itself_and_is_undone_there', async () => {
  const page = await openPage(browser, `${address}/`, laptop);
  const handheld = await pair(phone);
  await page.place('basket');
  await handheld.place('basket');
  const squares = async (one) => Number((await one.locator('.huge').textContent()).replace(/\D/g, ''));
  const before = await squares(page);
  await handheld.getByText('Add or take by hand').click();
  await handheld.getByRole('button', { name: 'Put 10 in' }).click();
  const shows = (n) => page.waitForFunction((wanted) => Number(document.querySelector('.huge')?.textContent.replace(/\D/g, '')) === wanted, n);
  await shows(before + 10);
  await page.keyboard.press('u'); // the laptop takes back what the phone did
  await handheld.waitForFunction((wanted) => Number(document.querySelector('.huge')?.textContent.replace(/\D/g, '')) === wanted, before);
  same(page.faults, [], 'faults');
  same(handheld.faults, [], 'faults of the phone');
  await handheld.close2();
  await page.close2();
});

await test('a_device_that_is_let_in_no_more_is_told_so', async () => {
  const page = await openPage(browser, `${address}/`, laptop);
  const handheld = await pair(phone);
  await handheld.place('basket');
  await page.place('settings');
  const row = page.locator('.devices li').first();
  await row.getByRole('button').click();
  await page.getByText('is let in no more').waitFor();
  await handheld.getByText('This device is not paired any more. What it shows may be old.').waitFor();
  await picture(handheld, 'unpaired-phone');
  // What she does all the same waits on the device, and she is told how to have it sent.
  const { squares } = await (await say(`${address}/`, 'GET', 'api/basket')).json();
  await handheld.getByText('Add or take by hand').click();
  await handheld.getByRole('button', { name: 'Put 10 in' }).click();
  await handheld.getByText('1 tap waits on this device').waitFor();
  await handheld.getByRole('navigation').getByRole('link', { name: 'Scraps' }).click();
  await handheld.locator('input[type=file]').first().setInputFiles(new URL('../photos/scraps-1.jpg', import.meta.url).pathname);
  await handheld.getByText('The photo stays on this device').waitFor();
  await handheld.locator('.journal').getByRole('button', { name: 'Undo' }).click();
  await picture(handheld, 'unpaired-told-phone');
  await handheld.locator('.said').getByRole('button', { name: 'Pair it again' }).click();
  await handheld.getByText('This device is not paired').waitFor();
  await handheld.goto('about:blank');
  await handheld.goto(`${lan}#/pair/${codeOf(await offer())}`);
  await handheld.waitForFunction(() => /^#\/scraps\/\d/.test(location.hash));
  const { squares: now } = await (await say(`${address}/`, 'GET', 'api/basket')).json();
  same(now, squares + 10, 'squares once it is paired again');
  await page.close2();
  await handheld.close2();
});

await test('a_switch_in_the_settings_lets_the_home_network_in_and_shuts_it_out_again', async () => {
  const alone = await start(program);
  const there = `http://${network}:${new URL(alone.address).port}/`;
  const page = await openPage(browser, `${alone.address}/`, laptop);
  await page.place('settings');
  await page.getByLabel('This computer alone').waitFor({ state: 'attached' });
  same(await page.getByRole('button', { name: 'Pair a phone or tablet' }).count(), 0, 'a button that could only fail');
  await fetch(there).then(() => { throw new Error('the network is let in'); }, () => {});
  await page.getByLabel('Phones and tablets at home too').check({ force: true });
  await page.locator('.said', { hasText: 'can reach the book' }).waitFor();
  const offered = page.waitForResponse((one) => one.url().endsWith('/api/pair'));
  await page.getByRole('button', { name: 'Pair a phone or tablet' }).click();
  const { addresses } = await (await offered).json();
  await accessible(page, 'pairing after the switch');
  await picture(page, 'network-laptop');
  const handheld = await openPage(browser, there, phone);
  handheld.expected = /status of 401|Cross-Origin-Opener-Policy|ERR_|Failed to load/; // plain HTTP gets no such policy; then it is shut out
  await handheld.goto(addresses.find((one) => one.startsWith(there)));
  await handheld.locator('nav.places').waitFor();
  await handheld.place('settings');
  same(await handheld.getByLabel('This computer alone').count(), 0, 'the switch on the phone');
  await page.getByLabel('This computer alone').check({ force: true });
  await page.locator('.said', { hasText: 'alone reaches the book' }).waitFor();
  await handheld.getByText('Basket', { exact: true }).first().click();
  await handheld.getByText('The program does not answer.').first().waitFor();
  await page.locator('.journal').getByRole('button', { name: 'Undo' }).click();
  await handheld.locator('.huge').waitFor(); // by itself
  same(page.faults, [], 'faults');
  await handheld.close2();
  await page.close2();
  await alone.stop();
});

await test('the_terminal_shows_a_code_too', async () => {
  const port = new URL(address).port;
  const said = spawnSync(program, ['pair', '--book', book, '--port', port], { encoding: 'utf8' }).stdout;
  const [, code] = new RegExp(`${lan}#/pair/(\\w+)`).exec(said);
  expect(said.includes('█'), 'no picture');
  same((await claim(code, 'by terminal')).status, 200, 'claimed');
  expect(spawnSync(program, ['devices', '--book', book], { encoding: 'utf8' }).stdout.includes('by terminal'), 'it is not listed');
});

await test('who_is_wrong_too_often_waits', async () => {
  const code = codeOf(await offer());
  const statuses = [];
  for (let i = 0; i < 20; i++) statuses.push((await claim(String(i).padStart(32, '0'))).status);
  same(statuses.filter((one) => one === 403).length <= 10 && statuses.at(-1) === 429, true, `statuses ${statuses}`);
  const page = await openPage(browser, lan, phone);
  page.expected = /status of (401|429)/;
  await page.goto(`${lan}#/pair/${code}`);
  await page.getByText('Wait a minute').first().waitFor();
  await page.close2();
});

await browser.close();
await stop();
finish();
