import { readdirSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { printBenchLine } from './bench-line.ts';

const SHARED = join(import.meta.dirname, '..', '..', '..', 'shared');
const ENTRY = 'virtual:bench-entry';

/** Bytes of the engine in a browser bundle, alone and with the wire contract, against its sources. */
export async function benchBundle(): Promise<void> {
  const engine = [join(SHARED, 'index.ts')];
  const contract = readdirSync(join(SHARED, 'contract'))
    .filter((name) => name.endsWith('.ts'))
    .map((name) => join(SHARED, 'contract', name));
  await report('bundle-engine', 'shared/index.ts, all it offers', engine);
  await report('bundle-engine-contract', 'shared/index.ts and shared/contract', [
    ...engine,
    ...contract,
  ]);
}

async function report(name: string, what: string, files: readonly string[]): Promise<void> {
  const { code, sources } = await bundled(files);
  const minified = Buffer.from(code);
  const packages = [...new Set(sources.flatMap(({ from }) => from ?? []))].sort();
  const note = `${what}: ${sources.length} modules${packages.length > 0 ? ` with ${packages.join(', ')}` : ''}, bundled and minified by Vite`;
  printBenchLine({
    name,
    value: minified.byteLength,
    unit: 'bytes',
    baseline: sum(sources.map(({ bytes }) => bytes.byteLength)),
    note: `${note}; baseline: the same modules as they stand`,
  });
  printBenchLine({
    name: `${name}-gzip`,
    value: gzipSync(minified, { level: 9 }).byteLength,
    unit: 'bytes',
    baseline: sum(sources.map(({ bytes }) => gzipSync(bytes, { level: 9 }).byteLength)),
    note: `${note}, then gzip; baseline: gzip of each module as it stands`,
  });
}

async function bundled(files: readonly string[]) {
  const { build } = await import('vite');
  const text = files
    .map((file, at) => `export * as part${at} from ${JSON.stringify(file)};`)
    .join('\n');
  const output = await build({
    configFile: false,
    envFile: false,
    logLevel: 'silent',
    root: SHARED,
    plugins: [
      {
        name: 'bench-entry',
        resolveId: (id: string) => (id === ENTRY ? `\0${ENTRY}` : null),
        load: (id: string) => (id === `\0${ENTRY}` ? text : null),
      },
    ],
    build: {
      write: false,
      target: 'es2022',
      rolldownOptions: { input: ENTRY, preserveEntrySignatures: 'strict' },
    },
  });
  const { output: parts } = [output].flat()[0] as Exclude<
    Awaited<ReturnType<typeof build>>,
    unknown[] | { close: unknown }
  >;
  const chunks = parts.filter((part) => part.type === 'chunk');
  const ids = chunks.flatMap(({ moduleIds }) => moduleIds).filter((id) => !id.startsWith('\0'));
  const sources = await Promise.all(
    ids.map(async (id) => ({
      from: /node_modules\/((?:@[^/]+\/)?[^/]+)/.exec(id)?.[1] ?? null,
      bytes: await readFile(id),
    })),
  );
  return { code: chunks.map(({ code }) => code).join(''), sources };
}

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
