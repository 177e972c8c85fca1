import type { Plugin, Rolldown } from 'vite';

/** Files of the public folder that the field pages show. */
const PUBLIC_PARTS = [
  '/tank.svg',
  '/field.webmanifest',
  '/field-icon-192.png',
  '/field-icon-512.png',
];

const WORKER = 'field-worker.js';

/** Tells the field worker which parts of the build the field pages are made of, and their version. */
export function buildFieldWorker(): Plugin {
  return {
    name: 'build-field-worker',
    apply: 'build',
    generateBundle(_options, bundle) {
      const entry = Object.values(bundle).find(
        (part) => part.type === 'chunk' && part.name === 'field' && part.isEntry,
      );
      const worker = bundle[WORKER];
      if (entry?.type !== 'chunk' || worker?.type !== 'chunk') {
        throw new Error('the field pages or their worker are not part of this build');
      }
      const names = [...partsOf(entry, bundle)].sort();
      const parts = [...names.map((name) => `/${name}`), ...PUBLIC_PARTS];
      const version = String(hashOf(parts.join()));
      worker.code = worker.code
        .replaceAll('FIELD_PARTS', JSON.stringify(parts))
        .replaceAll('FIELD_VERSION', JSON.stringify(version));
    },
  };
}

/** A chunk with all that it imports, now or later, and the styles and files of each. */
function partsOf(
  chunk: Rolldown.OutputChunk,
  bundle: Rolldown.OutputBundle,
  found = new Set<string>(),
): Set<string> {
  if (found.has(chunk.fileName)) return found;
  found.add(chunk.fileName);
  for (const name of chunk.viteMetadata?.importedCss ?? []) found.add(name);
  for (const name of chunk.viteMetadata?.importedAssets ?? []) found.add(name);
  for (const name of [...chunk.imports, ...chunk.dynamicImports]) {
    const next = bundle[name];
    if (next?.type === 'chunk') partsOf(next, bundle, found);
  }
  return found;
}

/** FNV-1a, 32 bits: the names hold hashes already, this only folds them into one. */
function hashOf(text: string): number {
  let hash = 0x811c9dc5;
  for (const character of text) {
    hash = Math.imul(hash ^ (character.codePointAt(0) ?? 0), 0x01000193) >>> 0;
  }
  return hash;
}
