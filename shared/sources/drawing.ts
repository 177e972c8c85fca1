import type { Source } from '../sources.ts';

/** How sheets are drawn and lettered. */
export const DRAWING_SOURCES = {
  'iso-3098': {
    title: 'Technical product documentation: lettering, least height of capitals 2.5 mm',
    publisher: 'International Organization for Standardization',
    year: 2015,
    seen: 'from-memory',
  },
  'iso-5455': {
    title: 'Technical drawings: scales; 1:25 is no scale of the series but common in building',
    publisher: 'International Organization for Standardization',
    year: 1979,
    seen: 'from-memory',
  },
  'iso-128': {
    title: 'Technical product documentation: cut edges wide, hidden edges dashed, axes dash-dotted',
    publisher: 'International Organization for Standardization',
    year: 2020,
    seen: 'from-memory',
  },
  'iso-5457': {
    title: 'Technical product documentation: sizes and layout of drawing sheets, A4',
    publisher: 'International Organization for Standardization',
    year: 1999,
    seen: 'from-memory',
  },
  'fitting-practice': {
    title:
      'Places of inlet, overflow, washout, tap and hatch by common practice: inlet away from the tap, overflow 50 mm below the springing',
    publisher: 'common practice',
    year: null,
    seen: 'common-practice',
  },
} as const satisfies Readonly<Record<string, Source>>;
