import { type ChildProcess, spawn } from 'node:child_process';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { eventually, makeWorkbench, type Workbench } from '../support/database-users.ts';
import { compileHolder, type HolderFactory } from '../support/embedded-holder.ts';

const PASSES = 40;

/** Goes through the lock again and again, and notes whom it meets inside that is still alive. */
const WORKER = `
import { appendFileSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { setTimeout as delay } from 'node:timers/promises';
import { withFolderLock } from './folder-lock.js';
import { processState } from './process-identity.js';
const [folder, passes] = process.argv.slice(2);
const inside = folder + '/inside';
for (let pass = 0; pass < Number(passes); pass += 1) {
  await withFolderLock(folder + '/run', async () => {
    let other = '';
    try { other = readFileSync(inside, 'utf8'); } catch {}
    if (other && processState(Number(other)).state === 'running') {
      appendFileSync(folder + '/met', process.pid + ' met ' + other + '\\n');
    }
    writeFileSync(inside, String(process.pid));
    await delay(1);
    rmSync(inside);
    appendFileSync(folder + '/passes', process.pid + '\\n');
  });
}
`;

let bench: Workbench;
let compiled: HolderFactory;

beforeAll(async () => {
  bench = await makeWorkbench();
  compiled = await compileHolder();
  await writeFile(join(compiled.folder, 'lock-worker.js'), WORKER);
});
afterAll(async () => {
  await compiled.remove();
  await bench.remove();
});

test('never lets two in, and passes on from holders that are killed', async () => {
  const folder = await bench.folder('locked', { title: 'this user' });
  const linesOf = async (name: string) =>
    (await readFile(join(folder, name), 'utf8').catch(() => '')).split('\n').filter(Boolean);
  const start = (passes: number) =>
    spawn(process.execPath, [join(compiled.folder, 'lock-worker.js'), folder, String(passes)], {
      stdio: ['ignore', 'inherit', 'inherit'],
    });
  const ended = (child: ChildProcess) =>
    new Promise<number | null>((resolve) => child.once('close', resolve));

  const workers = [1, 2, 3].map(() => start(PASSES));
  const codes = Promise.all(workers.map(ended));
  for (let kill = 0; kill < 6; kill += 1) {
    const victim = start(1_000_000);
    const isGone = ended(victim);
    await eventually('the victim at work', async () =>
      (await linesOf('passes')).includes(String(victim.pid)) ? true : undefined,
    );
    victim.kill('SIGKILL');
    await isGone;
  }
  expect(await codes).toEqual([0, 0, 0]);
  expect(await linesOf('met')).toEqual([]);
  const passes = await linesOf('passes');
  for (const worker of workers) {
    expect(passes.filter((pid) => pid === String(worker.pid))).toHaveLength(PASSES);
  }
});
