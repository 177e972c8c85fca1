import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { contentHash } from './content-hash.mjs';
import { ensureInstalled } from './install.mjs';
import { inProject } from './project.mjs';
import { requireStep } from './run-step.mjs';
import { withSetupLock } from './setup-lock.mjs';
import './require-node.mjs';

const OUTPUT = inProject('src', 'db', 'generated');
const STAMP = inProject('src', 'db', 'generated', '.stamp');

/**
 * Writes the Prisma client, unless it was made from this very schema by this very version.
 *
 * @param {{ output: 'stdout' | 'stderr' }} settings
 */
export async function ensureGenerated({ output }) {
  const wanted = contentHash([
    inProject('prisma', 'schema.prisma'),
    inProject('prisma.config.ts'),
    inProject('node_modules', 'prisma', 'package.json'),
    inProject('node_modules', '@prisma', 'client', 'package.json'),
  ]);
  if (existsSync(STAMP) && readFileSync(STAMP, 'utf8') === wanted) return;
  await requireStep(
    [process.execPath, inProject('node_modules', 'prisma', 'build', 'index.js'), 'generate'],
    {
      output,
      env: {
        ...process.env,
        // Generating needs no engine, but Prisma would fetch one unless told of an existing file.
        PRISMA_SCHEMA_ENGINE_BINARY: process.execPath,
        PRISMA_HIDE_UPDATE_MESSAGE: '1',
        CHECKPOINT_DISABLE: '1',
      },
    },
  );
  if (existsSync(OUTPUT)) writeFileSync(STAMP, wanted);
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? '').href) {
  await withSetupLock(async () => {
    await ensureInstalled({ needsDev: false, output: 'stdout' });
    await ensureGenerated({ output: 'stdout' });
  });
}
