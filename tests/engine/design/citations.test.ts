import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { SOURCES } from '../../../shared/sources.ts';

const folder = new URL('../../../shared/design/', import.meta.url);

describe('every exported function of the design folder', () => {
  it.each(readdirSync(folder))('of %s cites sources that are known', (name) => {
    const text = readFileSync(new URL(name, folder), 'utf8');
    const parts = text.split(/^export function /m);
    for (const [i, part] of parts.slice(1).entries()) {
      const before = parts[i] ?? '';
      const comment = before.slice(before.lastIndexOf('/**'));
      const exported = part.slice(0, part.search(/[<(]/));
      const cited = /@source (.+)/.exec(comment)?.[1] ?? '';
      expect(comment.trimEnd().endsWith('*/'), exported).toBe(true);
      for (const entry of cited.split(';')) {
        const id = entry.trim().split(' ')[0] ?? '';
        expect(SOURCES, `${exported} cites ${entry}`).toHaveProperty([id]);
      }
    }
  });
});
