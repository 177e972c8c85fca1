import { prepareToTest } from './prepare.mjs';
import { inProject } from './project.mjs';
import { requireStep, runStep } from './run-step.mjs';

const env = { ...process.env, NODE_ENV: 'test' };

/** @param {...string} path @returns {string[]} a command that runs a program of an installed package */
const installed = (...path) => [process.execPath, inProject('node_modules', ...path)];

await prepareToTest({ output: 'stdout' });
await requireStep([...installed('typescript', 'bin', 'tsc'), '-p', 'tests'], { env });
await requireStep([...installed('@biomejs', 'biome', 'bin', 'biome'), 'ci', '.'], { env });
await requireStep([...installed('eslint', 'bin', 'eslint.js'), 'src'], { env });
const tests = [...installed('vitest', 'vitest.mjs'), 'run', ...process.argv.slice(2)];
process.exitCode = await runStep(tests, { env });
