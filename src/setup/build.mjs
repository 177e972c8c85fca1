import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { contentHash } from './content-hash.mjs';
import { inProject } from './project.mjs';
import { requireStep } from './run-step.mjs';

const STAMP = inProject('dist', '.stamp');
const GENERATED = inProject('src', 'db', 'generated');

/** Everything the compiler reads, the generated database client apart: that follows the schema. */
const SOURCES = ['src', 'shared', 'prisma', 'tsconfig.json', 'tsconfig.base.json'];

/** True while dist holds what these sources compile to. */
export function isBuilt() {
  return existsSync(STAMP) && readFileSync(STAMP, 'utf8') === stampText();
}

/**
 * Compiles the sources into dist.
 *
 * @param {{ output: 'stdout' | 'stderr' }} settings
 */
export async function ensureBuilt({ output }) {
  if (isBuilt()) return;
  const compiler = inProject('node_modules', 'typescript', 'bin', 'tsc');
  await requireStep([process.execPath, compiler, '-b'], { output });
  writeFileSync(STAMP, stampText());
}

/**
 * The sources and the compiler's own notes about dist. The notes change with every other build into
 * dist, so that a build by hand of other sources is never taken for this one.
 */
function stampText() {
  const sources = contentHash(
    [...SOURCES.map((name) => inProject(name)), inProject('package-lock.json')],
    (path) => /\.(ts|tsx|json|prisma)$/.test(path) && !path.startsWith(GENERATED),
  );
  const notes = contentHash([
    inProject('dist', 'src', 'tsconfig.tsbuildinfo'),
    inProject('dist', 'shared', 'tsconfig.tsbuildinfo'),
  ]);
  return `${sources} ${notes}\n`;
}
