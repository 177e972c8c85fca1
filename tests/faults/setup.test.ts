import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { eventually } from '../support/database-users.ts';
import { makeSetupFixture, type SetupFixture } from '../support/setup-fixture.ts';

let project: SetupFixture;

beforeEach(async () => {
  project = await makeSetupFixture();
});
afterEach(() => project.remove());

const began = async () =>
  (await project.calls())
    .filter((line) => line.startsWith('begin '))
    .map((line) => line.slice('begin '.length));

test('prepares everything once, and then only what a change asks for', async () => {
  const first = await project.run('start.mjs');
  expect(first).toMatchObject({ code: 0, stdout: expect.stringMatching(/served by main\.js\n$/) });
  expect(first.stderr).toMatch(/^Installing packages/);
  expect(await began()).toEqual(['prisma generate', 'tsc -b', 'vite build --logLevel warn']);
  expect(await readFile(join(project.folder, 'src/db/generated/client.ts'), 'utf8')).toBe(
    process.execPath,
  );

  expect(await project.run('start.mjs')).toEqual({
    code: 0,
    stdout: 'served by main.js\n',
    stderr: '',
  });
  expect(await began()).toEqual([]);

  await project.write('shared/index.ts', 'export {};');
  await project.run('start.mjs');
  expect(await began()).toEqual(['tsc -b', 'vite build --logLevel warn']);

  await project.write('prisma/schema.prisma', '// two');
  await project.run('start.mjs');
  expect(await began()).toEqual(['prisma generate', 'tsc -b', 'vite build --logLevel warn']);

  await rm(join(project.folder, 'node_modules', 'eslint'), { recursive: true });
  expect(await project.run('test.mjs')).toMatchObject({
    code: 0,
    stderr: expect.stringMatching(/^Installing packages/),
  });
});

test('is not deceived by a build of other sources made by hand', async () => {
  await project.run('start.mjs');
  const main = await readFile(join(project.folder, 'src/main.ts'), 'utf8');
  await project.write('src/main.ts', "console.log('other sources');");
  await project.run('generate.mjs');
  execFileSync(process.execPath, ['node_modules/typescript/bin/tsc', '-b'], {
    cwd: project.folder,
  });
  await project.write('src/main.ts', main);
  expect((await project.run('start.mjs')).stdout).toMatch(/served by main\.js\n$/);
});

test('keeps standard output for the program alone', async () => {
  const first = await project.run('run.mjs', ['token', 'storekeeper@demo.example', '--x']);
  expect(first).toMatchObject({ code: 0, stdout: 'token storekeeper@demo.example --x\n' });
  expect(first.stderr).toMatch(/tsc prints something/);
  expect(await project.run('run.mjs', ['bench', '1'])).toEqual({
    code: 0,
    stdout: 'bench 1\n',
    stderr: '',
  });
  expect(await project.run('run.mjs', ['no-such'])).toMatchObject({
    code: 2,
    stdout: '',
    stderr: 'There is no program named no-such.\n',
  });
  expect((await project.run('run.mjs', ['../main'])).code).toBe(2);
});

test('lets one of several prepare while the others wait', async () => {
  const runs = await Promise.all([
    project.run('start.mjs'),
    project.run('run.mjs', ['token', 'a']),
    project.run('start.mjs'),
  ]);
  expect(runs.map((run) => run.code)).toEqual([0, 0, 0]);
  expect(runs.filter((run) => run.stderr.includes('Installing packages'))).toHaveLength(1);
  expect(await project.calls()).toEqual([
    'begin prisma generate',
    'end prisma generate',
    'begin tsc -b',
    'end tsc -b',
    'begin vite build --logLevel warn',
    'end vite build --logLevel warn',
  ]);
});

test('goes on after a preparation that was killed, once its orphans are done', async () => {
  const killed = await project.startUntil('start.mjs', { HANG: 'tsc' }, 'begin tsc -b');
  const waiting = project.run('start.mjs');
  killed.kill('SIGKILL');
  expect(await waiting).toMatchObject({
    code: 0,
    stdout: expect.stringMatching(/served by main\.js\n$/),
  });
  expect(await project.calls()).toEqual([
    'begin prisma generate',
    'end prisma generate',
    'begin tsc -b',
    'orphan tsc -b',
    'begin tsc -b',
    'end tsc -b',
    'begin vite build --logLevel warn',
    'end vite build --logLevel warn',
  ]);
});

test('hands an interruption on to the part at work and ends with its code', async () => {
  const child = await project.startUntil('start.mjs', { HANG: 'tsc' }, 'begin tsc -b');
  const ended = new Promise((resolve) => child.once('close', resolve));
  child.kill('SIGTERM');
  expect(await ended).toBe(128 + 15);
  expect(await project.calls()).not.toContain('end tsc -b');
  expect(existsSync(join(project.folder, 'dist'))).toBe(false);
});

test('passes signals to the service and its exit code on', async () => {
  const child = await project.startUntil('start.mjs', { STAY: '1' }, 'ready');
  const ended = new Promise((resolve) => child.once('close', resolve));
  child.kill('SIGTERM');
  expect(await ended).toBe(7);
});

test.each([
  { signal: 'SIGTERM', code: 7 },
  { signal: 'SIGINT', code: 5 },
  // A killed npm cannot tell; the service notices.
  { signal: 'SIGKILL', code: null },
] as const)('ends the service when npm gets $signal', async ({ signal, code }) => {
  const npm = await project.startUntil('npm start', { STAY: '1' }, 'ready');
  expect(await project.calls()).toContain('end tsc -b');
  const ended = new Promise((resolve) => npm.once('close', resolve));
  npm.kill(signal);
  expect(await ended).toBe(code);
  const calls = await eventually('the service to stop', async () => {
    const lines = await project.calls();
    return lines.length > 0 ? lines : undefined;
  });
  expect(calls).toEqual([`stopped by ${signal === 'SIGINT' ? 'SIGINT' : 'SIGTERM'}`]);
});

test('ends with the exit code of the part that failed', async () => {
  const noBuild = await project.run('start.mjs', [], { FAIL: 'tsc' });
  expect(noBuild.code).toBe(3);
  expect(noBuild.stdout).not.toMatch(/served/);
  // A failed part is not remembered as done.
  expect((await project.run('start.mjs', [], { FAIL: 'tsc' })).code).toBe(3);
  await project.write('package-lock.json', '{}');
  const noInstall = await project.run('start.mjs');
  expect(noInstall.code).toBe(1);
  expect(noInstall.stderr).toMatch(
    /The packages could not be installed: npm ci ended with exit code 1\.\n$/,
  );
});

test('checks types and style before the tests, each failure ending the run', async () => {
  expect(await project.run('test.mjs', ['--project', 'engine'])).toMatchObject({ code: 0 });
  expect(await began()).toEqual([
    'prisma generate',
    'tsc -b',
    'vite build --logLevel warn',
    'tsc -p tests',
    'biome ci .',
    'eslint src',
    'vitest run --project engine',
  ]);
  for (const [part, following] of [
    ['biome', ['tsc -p tests', 'biome ci .']],
    ['eslint', ['tsc -p tests', 'biome ci .', 'eslint src']],
    ['vitest', ['tsc -p tests', 'biome ci .', 'eslint src', 'vitest run']],
  ] as const) {
    expect((await project.run('test.mjs', [], { FAIL: part })).code).toBe(3);
    expect(await began()).toEqual(following);
  }
});

test('brings the packages for testing where production leaves them out', async () => {
  const production = { NODE_ENV: 'production', npm_config_omit: 'dev' };
  await project.run('start.mjs');
  await rm(join(project.folder, 'node_modules'), { recursive: true });
  const served = await project.run('start.mjs', [], production);
  expect(served).toMatchObject({ code: 0, stdout: expect.stringMatching(/served by main\.js\n$/) });
  expect(existsSync(join(project.folder, 'node_modules/vitest'))).toBe(false);
  expect(await project.run('test.mjs', [], production)).toMatchObject({ code: 0 });
  expect(existsSync(join(project.folder, 'node_modules/vitest'))).toBe(true);
});
