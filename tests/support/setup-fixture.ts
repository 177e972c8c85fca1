import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { chmod, cp, mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { promisify } from 'node:util';
import manifest from '../../package.json' with { type: 'json' };
import { eventually } from './database-users.ts';

const SETUP = join(import.meta.dirname, '..', '..', 'src', 'setup');

/** Notes its call, then does what the environment says: take its time, or fail. */
const NOTE_CALL = (name: string) => `
import { appendFileSync } from 'node:fs';
import { setTimeout as delay } from 'node:timers/promises';
const note = (line) => appendFileSync('calls.log', line + '\\n');
const call = ['${name}', ...process.argv.slice(2)].join(' ');
note('begin ' + call);
console.log('${name} prints something');
if (process.env.HANG === '${name}') {
  const parent = process.ppid;
  for (let left = 1_500; process.ppid === parent && left > 0; left -= 1) await delay(20);
  await delay(200);
  note('orphan ' + call);
  process.exit(1);
}
if (process.env.FAIL === '${name}') process.exit(3);
await delay(50);
note('end ' + call);
`;

/** The compiler's stand-in "compiles" by copying, and keeps notes about its input as tsc does. */
const COMPILE = `
import { createHash } from 'node:crypto';
import { cpSync, readFileSync, writeFileSync } from 'node:fs';
if (process.argv[2] === '-b') {
  for (const name of ['main', 'cli/token', 'bench/main']) {
    cpSync('src/' + name + '.ts', 'dist/src/' + name + '.js');
  }
  const notes = createHash('sha256').update(readFileSync('src/main.ts')).digest('hex');
  writeFileSync('dist/src/tsconfig.tsbuildinfo', notes);
}
`;

const GENERATE = `
import { mkdirSync, writeFileSync } from 'node:fs';
mkdirSync('src/db/generated', { recursive: true });
writeFileSync('src/db/generated/client.ts', process.env.PRISMA_SCHEMA_ENGINE_BINARY ?? '');
`;

const STAND_INS = [
  { name: 'typescript', file: 'bin/tsc', program: NOTE_CALL('tsc') + COMPILE, isDev: false },
  { name: 'prisma', file: 'build/index.js', program: NOTE_CALL('prisma') + GENERATE, isDev: false },
  { name: '@prisma/client', file: 'index.js', program: '', isDev: false },
  { name: 'vite', file: 'bin/vite.js', program: NOTE_CALL('vite'), isDev: true },
  { name: '@biomejs/biome', file: 'bin/biome', program: NOTE_CALL('biome'), isDev: true },
  { name: 'eslint', file: 'bin/eslint.js', program: NOTE_CALL('eslint'), isDev: true },
  { name: 'vitest', file: 'vitest.mjs', program: NOTE_CALL('vitest'), isDev: true },
];

const MAIN = `
import { appendFileSync } from 'node:fs';
const stop = (signal) => {
  appendFileSync('calls.log', 'stopped by ' + signal + '\\n');
  process.exit(signal === 'SIGTERM' ? 7 : 5);
};
process.on('SIGTERM', stop).on('SIGINT', stop);
if (process.env.STAY) { console.log('ready'); setInterval(() => {}, 1_000); }
else console.log('served by', process.argv[1].split('/').at(-1));
`;

export type SetupRun = { code: number | null; stdout: string; stderr: string };

/** A small project with the real setup scripts, and stand-ins for the programs that they call. */
export type SetupFixture = {
  folder: string;
  write(path: string, text: string): Promise<void>;
  /** Runs a setup script to its end. */
  run(script: string, args?: string[], env?: NodeJS.ProcessEnv): Promise<SetupRun>;
  /** Starts a setup script, or `npm start`, and waits for a line in its output or in the calls. */
  startUntil(script: string, env: NodeJS.ProcessEnv, line: string): Promise<ChildProcess>;
  /** The calls of the stand-ins since the last question. */
  calls(): Promise<string[]>;
  remove(): Promise<void>;
};

export async function makeSetupFixture(): Promise<SetupFixture> {
  const folder = await mkdtemp(join(tmpdir(), 'hoopwright-setup-'));
  const write = async (path: string, text: string) => {
    await mkdir(dirname(join(folder, path)), { recursive: true });
    await writeFile(join(folder, path), text);
  };
  await cp(SETUP, join(folder, 'src', 'setup'), { recursive: true });
  for (const { name, file, program } of STAND_INS) {
    const about = { name, version: '1.0.0', type: 'module' };
    await write(`stand-ins/${name}/package.json`, JSON.stringify(about));
    await write(`stand-ins/${name}/${file}`, program);
    await chmod(join(folder, 'stand-ins', name, file), 0o755);
  }
  const packages = (isDev: boolean) =>
    Object.fromEntries(
      STAND_INS.filter((each) => each.isDev === isDev).map(({ name }) => [
        name,
        `file:stand-ins/${name}`,
      ]),
    );
  await write(
    'package.json',
    JSON.stringify({
      name: 'fixture',
      private: true,
      type: 'module',
      scripts: { start: manifest.scripts.start },
      dependencies: packages(false),
      devDependencies: packages(true),
    }),
  );
  await write('src/main.ts', MAIN);
  await write('src/cli/token.ts', "console.log('token', ...process.argv.slice(2));");
  await write('src/bench/main.ts', "console.log('bench', ...process.argv.slice(2));");
  await write('shared/index.ts', '');
  await write('prisma/schema.prisma', '// one');
  await promisify(execFile)('npm', ['install', '--package-lock-only', '--offline'], {
    cwd: folder,
    env: plainEnvironment(),
  });
  const children: ChildProcess[] = [];
  const start = (script: string, args: string[], env: NodeJS.ProcessEnv) => {
    const file = join(folder, 'src', 'setup', script);
    const command = script === 'npm start' ? ['npm', 'start'] : [process.execPath, file, ...args];
    const child = spawn(command[0] ?? '', command.slice(1), {
      cwd: script === 'npm start' ? folder : tmpdir(),
      env: { ...plainEnvironment(), ...env },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    children.push(child);
    return child;
  };
  let read = 0;
  const log = async () => readFile(join(folder, 'calls.log'), 'utf8').catch(() => '');
  return {
    folder,
    write,
    run: async (script, args = [], env = {}) => {
      const child = start(script, args, env);
      const output = { stdout: '', stderr: '' };
      for (const name of ['stdout', 'stderr'] as const) {
        child[name]?.on('data', (chunk: Buffer) => {
          output[name] += chunk.toString();
        });
      }
      const code = await new Promise<number | null>((resolve) => child.once('close', resolve));
      return { code, ...output };
    },
    startUntil: async (script, env, line) => {
      const child = start(script, [], env);
      let output = '';
      child.stdout?.on('data', (chunk: Buffer) => {
        output += chunk.toString();
      });
      await eventually(line, async () => {
        return `${output}\n${await log()}`.split('\n').includes(line) ? true : undefined;
      });
      return child;
    },
    calls: async () => {
      const lines = (await log()).split('\n').filter((line) => line !== '');
      const fresh = lines.slice(read);
      read = lines.length;
      return fresh;
    },
    remove: async () => {
      for (const child of children) child.kill('SIGKILL');
      await rm(folder, { recursive: true, force: true, maxRetries: 10 });
    },
  };
}

/** The environment without what npm and the test runner put there. */
function plainEnvironment(): NodeJS.ProcessEnv {
  return Object.fromEntries(
    Object.entries(process.env).filter(([name]) => !/^(npm_|NODE_ENV$|VITEST)/i.test(name)),
  );
}
