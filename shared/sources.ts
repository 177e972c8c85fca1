import { COSTING_SOURCES } from './sources/costing.ts';
import { DESIGN_SOURCES } from './sources/design.ts';
import { DRAWING_SOURCES } from './sources/drawing.ts';
import { HYDROLOGY_SOURCES } from './sources/hydrology.ts';
import { PROCUREMENT_SOURCES } from './sources/procurement.ts';
import { SCHEDULING_SOURCES } from './sources/scheduling.ts';
import { STRUCTURE_SOURCES } from './sources/structure.ts';
import { TAKEOFF_SOURCES } from './sources/takeoff.ts';

export interface Source {
  readonly title: string;
  readonly publisher: string;
  readonly year: number | null;
  /** How this project knows the text: read in print, read as a quotation, or recalled. */
  readonly seen: 'in-print' | 'quoted' | 'from-memory' | 'own-derivation' | 'common-practice';
}

/** Every source that an engine function or a published check may cite, by id. */
export const SOURCES = {
  ...HYDROLOGY_SOURCES,
  ...STRUCTURE_SOURCES,
  ...TAKEOFF_SOURCES,
  ...COSTING_SOURCES,
  ...DESIGN_SOURCES,
  ...DRAWING_SOURCES,
  ...PROCUREMENT_SOURCES,
  ...SCHEDULING_SOURCES,
} as const satisfies Readonly<Record<string, Source>>;

export type SourceId = keyof typeof SOURCES;
