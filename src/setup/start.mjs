import { pathToFileURL } from 'node:url';
import { endWithNpm } from './end-with-npm.mjs';
import { prepareToRun } from './prepare.mjs';
import { inProject } from './project.mjs';

endWithNpm();
await prepareToRun({ output: 'stdout' });

// In this very process: signals reach the service directly and its exit code is ours.
const main = inProject('dist', 'src', 'main.js');
process.argv[1] = main;
process.setSourceMapsEnabled(true);
await import(pathToFileURL(main).href);
