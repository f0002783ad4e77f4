// Brings the three library files of the page from node_modules into ui/vendor and writes
// their manifest. Run after changing a version in package.json: `npm run vendor`.
//
// A page without a build step and without an inline import map cannot resolve the bare
// name "preact", so that one import is turned into a path; nothing else is changed, and
// `vendored()` repeats the change so that a test can compare byte for byte.
import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('../../', import.meta.url));
const folder = `${root}ui/vendor/`;

export const files = [
  { file: 'preact.module.js', name: 'preact', from: 'dist/preact.module.js' },
  { file: 'hooks.module.js', name: 'preact', from: 'hooks/dist/hooks.module.js' },
  { file: 'htm.module.js', name: 'htm', from: 'dist/htm.module.js' },
];

export const sha256 = (text) => createHash('sha256').update(text).digest('hex');

/** The text of one library file as it stands in the page. */
export function vendored({ name, from }) {
  return readFileSync(`${root}node_modules/${name}/${from}`, 'utf8')
    .replace('from"preact"', 'from"./preact.module.js"')
    .replace(/\n\/\/# sourceMappingURL=.*\n?$/, '\n');
}

export function manifest() {
  return JSON.parse(readFileSync(`${folder}manifest.json`, 'utf8'));
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const rows = files.map((row) => {
    const about = JSON.parse(readFileSync(`${root}node_modules/${row.name}/package.json`, 'utf8'));
    const text = vendored(row);
    writeFileSync(folder + row.file, text);
    return {
      file: row.file, name: row.name, version: about.version, licence: about.license,
      from: row.from, sha256: sha256(text),
    };
  });
  const licences = ['preact', 'htm'].map((name) => `${name}\n\n${readFileSync(`${root}node_modules/${name}/LICENSE`, 'utf8').trim()}\n`);
  writeFileSync(`${folder}LICENCES.txt`, licences.join('\n\n'));
  writeFileSync(`${folder}manifest.json`, `${JSON.stringify({ files: rows }, null, 2)}\n`);
}
