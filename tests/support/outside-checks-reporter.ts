import { readFileSync } from 'node:fs';
import type { Reporter, TestModule } from 'vitest/node';
import { addedUp, caseFiles, checkTable, outsideChecks, readCases } from './outside-checks.ts';

const HEADING = `
Outside figures that the tests of this run held the engine against, by source. A figure counts when
it stands as text in a case file of tests/published and every test that reads the file passed.`;

/** Case files that tests of the run read, and that none of them failed on. */
function heldFiles(modules: readonly TestModule[]): string[] {
  const texts = modules
    .filter(({ project }) => project.name === 'engine')
    .map((module) => ({ text: readFileSync(module.moduleId, 'utf8'), isPassed: module.ok() }));
  return caseFiles().filter((file) => {
    const name = file.split('/').at(-1) ?? file;
    const readers = texts.filter(({ text }) => text.includes(`/${name}'`));
    return readers.length > 0 && readers.every(({ isPassed }) => isPassed);
  });
}

/** Ends a run of the engine's tests with the number of outside figures by source. */
export default class OutsideChecksReporter implements Reporter {
  onTestRunEnd(modules: readonly TestModule[]): void {
    const held = heldFiles(modules);
    if (held.length === 0) return;
    const counts = addedUp(held.flatMap((file) => outsideChecks(readCases(file))));
    console.log(`${HEADING}\n\n${checkTable(counts)}\n`);
  }
}
