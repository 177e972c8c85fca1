import type { Source } from '../sources.ts';

export const SCHEDULING_SOURCES = {
  'critical-path': {
    title: 'Critical-path planning and scheduling: forward pass (Kelley & Walker 1959)',
    publisher: 'Proceedings of the Eastern Joint Computer Conference',
    year: 1959,
    seen: 'from-memory',
  },
  'mrp-netting': {
    title: 'Material requirements planning: netting, lot rules, release by lead time',
    publisher: 'production planning textbooks (Orlicky 1975)',
    year: 1975,
    seen: 'from-memory',
  },
  'stock-practice': {
    title: 'Own stock before a transfer, a transfer before buying; first expiring, first out',
    publisher: 'common practice',
    year: null,
    seen: 'common-practice',
  },
} as const satisfies Readonly<Record<string, Source>>;
