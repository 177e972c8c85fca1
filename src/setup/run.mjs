import { existsSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { prepareToRun } from './prepare.mjs';
import { inProject } from './project.mjs';

const [name = '', ...args] = process.argv.slice(2);
if (!/^[a-z][a-z-]*$/.test(name)) {
  console.error('Say which program: node src/setup/run.mjs NAME [arguments]');
  process.exit(2);
}

// Standard output belongs to the program alone.
await prepareToRun({ output: 'stderr' });

const program =
  name === 'bench'
    ? inProject('dist', 'src', 'bench', 'main.js')
    : inProject('dist', 'src', 'cli', `${name}.js`);
if (!existsSync(program)) {
  console.error(`There is no program named ${name}.`);
  process.exit(2);
}
process.argv.splice(1, process.argv.length, program, ...args);
process.setSourceMapsEnabled(true);
await import(pathToFileURL(program).href);
