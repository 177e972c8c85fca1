import type { Source } from '../sources.ts';

export const COSTING_SOURCES = {} as const satisfies Readonly<Record<string, Source>>;
