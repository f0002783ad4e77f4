// Takes the journey of journey.mjs with a program started for it.
//
// usage: node tests/page/travel.mjs MOTLEY
import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { start } from './program.mjs';

const file = (name) => fileURLToPath(new URL(name, import.meta.url));
const { address, cookie, stop } = await start(process.argv[2]);
const journey = spawn(process.execPath,
  [file('journey.mjs'), address, file('../photos/scraps-1.jpg'), file('../photos/scraps-5.jpg')],
  { stdio: 'inherit', env: { ...process.env, MOTLEY_SESSION: `${address} ${cookie}` } });
const status = await new Promise((resolve) => { journey.once('exit', resolve); });
await stop();
process.exit(status ?? 1);
