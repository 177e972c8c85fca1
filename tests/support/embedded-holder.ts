import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { chmod, cp, mkdtemp, readdir, readFile, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import ts from 'typescript';
import { findBinaryPackage } from '../../src/db/embedded/binaries.ts';
import { canEnter } from '../../src/db/embedded/database-account.ts';

const SOURCES = join(import.meta.dirname, '..', '..', 'src', 'db', 'embedded');
const PACKAGES = join(import.meta.dirname, '..', '..', 'node_modules');

/** A process of its own that acquires the server, so that it can be killed. */
const HOLDER = `
import { createInterface } from 'node:readline';
import { acquireEmbedded } from './supervisor.js';
const { ids, ...options } = JSON.parse(process.argv[2]);
if (ids) {
  process.setgroups([]);
  process.setgid(ids.gid);
  process.setuid(ids.uid);
}
const say = (value) => process.stdout.write(JSON.stringify(value) + '\\n');
const log = (line) => say({ log: line });
try {
  const server = await acquireEmbedded({ ...options, log });
  const { adminUrl, port, pid, started } = server;
  say({ adminUrl, port, pid, started });
  for await (const line of createInterface({ input: process.stdin })) {
    if (line === 'release') break;
  }
  await server.release();
  say({ released: true });
} catch (error) {
  say({ failed: error.name, message: error.message });
  process.exitCode = 1;
}
process.stdin.unref?.();
`;

export type HolderOptions = {
  dataDir: string;
  durable?: boolean;
  binaryPackage?: string;
  /** Become this user before anything else; only root can. */
  ids?: { uid: number; gid: number } | undefined;
};

export type HeldServer = {
  adminUrl: string;
  port: number;
  pid: number;
  started: 'fresh' | 'started' | 'reattached';
};

export type Holder = {
  process: ChildProcessWithoutNullStreams;
  /** The server once acquired; rejects with the sentence when it was refused. */
  server: Promise<HeldServer>;
  /** What was logged so far, one sentence each. */
  log: string[];
  release(): Promise<void>;
  kill(): Promise<void>;
};

export type HolderFactory = {
  /** Where the compiled supervisor is. */
  folder: string;
  start(options: HolderOptions): Holder;
  killAll(): Promise<void>;
  remove(): Promise<void>;
};

/** Compiles the supervisor as it stands now, apart from `dist`, for processes that hold a server. */
export async function compileHolder(): Promise<HolderFactory> {
  const folder = await mkdtemp(join(tmpdir(), 'hoopwright-holder-'));
  for (const name of await readdir(SOURCES)) {
    const text = await readFile(join(SOURCES, name), 'utf8');
    const compiled = ts.transpileModule(text, {
      compilerOptions: {
        module: ts.ModuleKind.ESNext,
        target: ts.ScriptTarget.ES2023,
        rewriteRelativeImportExtensions: true,
        verbatimModuleSyntax: true,
      },
    });
    await writeFile(join(folder, name.replace(/\.ts$/, '.js')), compiled.outputText);
  }
  await writeFile(join(folder, 'package.json'), '{ "type": "module" }');
  await writeFile(join(folder, 'holder.js'), HOLDER);
  await symlink(PACKAGES, join(folder, 'node_modules'));
  await chmod(folder, 0o755);
  const binaryPackage = await packageForEverybody(folder);
  const holders: Holder[] = [];
  const killAll = async () => {
    await Promise.all(holders.map((holder) => holder.kill()));
  };
  return {
    folder,
    start: (options) => {
      const holder = startHolder(join(folder, 'holder.js'), {
        ...(binaryPackage !== undefined && options.ids ? { binaryPackage } : {}),
        ...options,
      });
      holders.push(holder);
      return holder;
    },
    killAll,
    remove: async () => {
      await killAll();
      await rm(folder, { recursive: true, force: true });
    },
  };
}

/** A copy of PostgreSQL's package, for a clone that only its owner can enter. */
async function packageForEverybody(folder: string): Promise<string | undefined> {
  const installed = await findBinaryPackage();
  const somebody = { name: 'somebody', ids: { uid: -1, gid: -1 } };
  if (await canEnter(somebody, installed.folder)) return undefined;
  const copy = join(folder, 'package');
  await cp(installed.folder, copy, { recursive: true, verbatimSymlinks: true });
  return copy;
}

function startHolder(script: string, options: HolderOptions): Holder {
  const child = spawn(process.execPath, [script, JSON.stringify({ durable: false, ...options })]);
  const log: string[] = [];
  let errors = '';
  child.stderr.on('data', (chunk: Buffer) => {
    errors += chunk.toString();
  });
  const ended = new Promise<void>((resolve) => child.once('close', () => resolve()));
  const server = new Promise<HeldServer>((resolve, reject) => {
    createInterface({ input: child.stdout }).on('line', (line) => {
      const said = JSON.parse(line);
      if (said.log) log.push(said.log);
      if (said.failed) reject(Object.assign(new Error(said.message), { name: said.failed }));
      if (said.started) resolve(said);
    });
    void ended.then(() => reject(new Error(`the holder ended without a server: ${errors}`)));
  });
  // Whoever awaits `server` sees the refusal; a holder killed on purpose has nobody waiting.
  server.catch(() => {});
  return {
    process: child,
    server,
    log,
    release: async () => {
      child.stdin.end('release\n');
      await ended;
      if (child.exitCode !== 0) throw new Error(`release failed: ${errors}`);
    },
    kill: async () => {
      if (child.exitCode === null && child.signalCode === null) child.kill('SIGKILL');
      await ended;
    },
  };
}
