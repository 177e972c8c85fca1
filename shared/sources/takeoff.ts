import type { Source } from '../sources.ts';

export const TAKEOFF_SOURCES = {} as const satisfies Readonly<Record<string, Source>>;
