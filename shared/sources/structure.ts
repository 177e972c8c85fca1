import type { Source } from '../sources.ts';

export const STRUCTURE_SOURCES = {} as const satisfies Readonly<Record<string, Source>>;
