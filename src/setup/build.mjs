import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { contentHash } from './content-hash.mjs';
import { inProject } from './project.mjs';
import { requireStep } from './run-step.mjs';

const STAMP = inProject('dist', '.stamp');
const GENERATED = inProject('src', 'db', 'generated');

/** Everything the compiler and the bundler read, the generated database client apart: that follows the schema. */
const SOURCES = [
  'src',
  'shared',
  'prisma',
  'tsconfig.json',
  'tsconfig.base.json',
  'vite.config.ts',
];

/** Kinds of files that the compiler and the bundler of the pages read. */
const SOURCE_KINDS = /\.(ts|tsx|json|prisma|css|html|svg|png|webmanifest)$/;

/** True while dist holds what these sources compile to. */
export function isBuilt() {
  return existsSync(STAMP) && readFileSync(STAMP, 'utf8') === stampText();
}

/**
 * Compiles the sources into dist, and the pages into dist/web.
 *
 * @param {{ output: 'stdout' | 'stderr' }} settings
 */
export async function ensureBuilt({ output }) {
  if (isBuilt()) return;
  const compiler = inProject('node_modules', 'typescript', 'bin', 'tsc');
  await requireStep([process.execPath, compiler, '-b'], { output });
  const bundler = inProject('node_modules', 'vite', 'bin', 'vite.js');
  await requireStep([process.execPath, bundler, 'build', '--logLevel', 'warn'], { output });
  writeFileSync(STAMP, stampText());
}

/**
 * The sources and the compiler's own notes about dist. The notes change with every other build into
 * dist, so that a build by hand of other sources is never taken for this one.
 */
function stampText() {
  const sources = contentHash(
    [...SOURCES.map((name) => inProject(name)), inProject('package-lock.json')],
    (path) => SOURCE_KINDS.test(path) && !path.startsWith(GENERATED),
  );
  const notes = contentHash([
    inProject('dist', 'src', 'tsconfig.tsbuildinfo'),
    inProject('dist', 'shared', 'tsconfig.tsbuildinfo'),
  ]);
  return `${sources} ${notes}\n`;
}
