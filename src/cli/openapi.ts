import { readFile, writeFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { openApiText } from './openapi-text.ts';

/** `openapi.json` of the checkout, from `dist/src/cli`, where commands run. */
const FILE = fileURLToPath(new URL('../../../openapi.json', import.meta.url));

const [option] = process.argv.slice(2);
const text = await openApiText();
if (option === undefined) {
  await writeFile(FILE, text);
} else if (option === '--print') {
  process.stdout.write(text);
} else if (option === '--check') {
  const kept = await readFile(FILE, 'utf8').catch(() => '');
  if (kept !== text) {
    const line = text.split('\n').findIndex((wanted, index) => wanted !== kept.split('\n')[index]);
    process.stderr.write(
      `openapi.json differs from the routes, first in line ${line + 1}; run npm run openapi.\n`,
    );
    process.exitCode = 1;
  }
} else {
  process.stderr.write('npm run openapi [-- --check | --print]\n');
  process.exitCode = 2;
}
