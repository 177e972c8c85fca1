import type { Source } from '../sources.ts';

export const HYDROLOGY_SOURCES = {} as const satisfies Readonly<Record<string, Source>>;
