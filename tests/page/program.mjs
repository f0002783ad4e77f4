// The program itself, serving a demo book in a folder of its own that goes away again.
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { bring, strange } from './session.mjs';

/** Lets this program in, as `motley open` lets a browser in; returns the cookie. */
export async function claim(program, book, address) {
  const { port } = new URL(address);
  const said = spawnSync(program, ['open', '--book', book, '--port', port, '--json'], { encoding: 'utf8' });
  if (said.status !== 0) throw new Error(`open: ${said.stdout}`);
  const [, code] = /#\/pair\/(\w+)$/.exec(JSON.parse(said.stdout).address);
  const answer = await strange(`${address}/api/pair/claim`, {
    method: 'POST', headers: { 'Content-Type': 'application/json', Origin: address }, body: JSON.stringify({ code, name: 'test' }),
  });
  if (!answer.ok) throw new Error(`claim: ${await answer.text()}`);
  const [cookie] = answer.headers.get('set-cookie').split(';');
  bring(address, cookie);
  return cookie;
}

/**
 * Starts the program; resolves with its address (without a last slash), the cookie of a session
 * (which fetch() and pages bring from then on) and how to stop it.
 */
export async function start(program, flags = []) {
  const folder = mkdtempSync(join(tmpdir(), 'motley-page-'));
  const book = join(folder, 'page.book');
  const demo = spawnSync(program, ['demo', '--book', book], { encoding: 'utf8' });
  if (demo.status !== 0) throw new Error(`demo: ${demo.stderr}`);
  const server = spawn(program, ['serve', '--book', book, '--port', '0', ...flags], { stdio: ['ignore', 'pipe', 'inherit'] });
  const gone = new Promise((resolve) => { server.once('exit', resolve); });
  const address = await new Promise((resolve, reject) => {
    let said = '';
    server.once('exit', (status) => reject(new Error(`serve ended with ${status}`)));
    server.stdout.on('data', (data) => {
      said += data;
      const found = /http:\/\/\S+/.exec(said);
      if (found) resolve(found[0].replace(/\/$/, ''));
    });
  });
  const cookie = await claim(program, book, address).catch((trouble) => {
    server.kill(); // it would outlive this program, and hold its output open
    throw trouble;
  });
  /** Resolves with its exit status. */
  const stop = async () => {
    server.kill('SIGTERM');
    const status = await gone;
    rmSync(folder, { recursive: true });
    return status;
  };
  return { address, book, cookie, stop };
}
