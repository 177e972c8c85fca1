import './require-node.mjs';
import { ensureBuilt, isBuilt } from './build.mjs';
import { ensureGenerated } from './generate.mjs';
import { ensureInstalled } from './install.mjs';
import { withSetupLock } from './setup-lock.mjs';

/**
 * Brings the folder to where the built service can run: packages, database client, dist. Each part
 * is skipped when nothing it depends on has changed. Ends the process when a part fails.
 *
 * @param {{ output: 'stdout' | 'stderr' }} settings where the parts print what they do
 */
export async function prepareToRun({ output }) {
  await withSetupLock(async () => {
    const needsBuild = !isBuilt();
    await ensureInstalled({ needsDev: needsBuild, output });
    await ensureGenerated({ output });
    await ensureBuilt({ output });
  });
}

/**
 * Brings the folder to where the sources can be checked and tested.
 *
 * @param {{ output: 'stdout' | 'stderr' }} settings
 */
export async function prepareToTest({ output }) {
  await withSetupLock(async () => {
    await ensureInstalled({ needsDev: true, output });
    await ensureGenerated({ output });
    await ensureBuilt({ output });
  });
}
