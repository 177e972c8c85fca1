import type { Source } from '../sources.ts';

export const PROCUREMENT_SOURCES = {
  'wagner-whitin-1958': {
    title: 'Dynamic version of the economic lot size model',
    publisher: 'Management Science 5, 89–96',
    year: 1958,
    seen: 'from-memory',
  },
  'southampton-lot-sizing': {
    title: 'Course sheet on dynamic lot sizing: 40, 20, 10, 30, 20 at 100 an order and 2 a unit',
    publisher: 'University of Southampton',
    year: null,
    seen: 'quoted',
  },
  'krarup-bilde-1977': {
    title: 'Plant location, set covering and economic lot size: x_ij ≤ d_j·y_i',
    publisher: 'Numerische Methoden bei Optimierungsaufgaben 3',
    year: 1977,
    seen: 'from-memory',
  },
  'harris-1913': {
    title: 'How many parts to make at once: the economic order quantity',
    publisher: 'Factory, The Magazine of Management 10',
    year: 1913,
    seen: 'from-memory',
  },
  'order-plan-own': {
    title:
      'Joint ordering over periods: packs, breaks, shelf life, cash, trips, storage, few changes',
    publisher: 'this project',
    year: null,
    seen: 'own-derivation',
  },
  'working-calendar': {
    title: 'Dates shifted by working days, holidays and rest days left out',
    publisher: 'common practice',
    year: null,
    seen: 'common-practice',
  },
  'held-wolfe-crowder-1974': {
    title: 'Validation of subgradient optimization',
    publisher: 'Mathematical Programming 6',
    year: 1974,
    seen: 'from-memory',
  },
  'joint-replenishment': {
    title: 'Joint replenishment: delivery periods first, then each item; local search over periods',
    publisher: 'inventory theory',
    year: null,
    seen: 'from-memory',
  },
} as const satisfies Readonly<Record<string, Source>>;
