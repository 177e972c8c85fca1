import type { Source } from '../sources.ts';

export const SCHEDULING_SOURCES = {
  'critical-path': {
    title: 'Critical-path planning and scheduling: forward pass (Kelley & Walker 1959)',
    publisher: 'Proceedings of the Eastern Joint Computer Conference',
    year: 1959,
    seen: 'from-memory',
  },
  'serial-generation': {
    title: 'Serial generation of schedules from activity lists (Kolisch 1996)',
    publisher: 'European Journal of Operational Research 90',
    year: 1996,
    seen: 'from-memory',
  },
  'double-justification': {
    title: 'Justification and RCPSP: a technique that pays (Valls, Ballestin, Quintanilla 2005)',
    publisher: 'European Journal of Operational Research 165',
    year: 2005,
    seen: 'from-memory',
  },
  'peak-crossover': {
    title: 'A hybrid genetic algorithm for the RCPSP (Valls, Ballestin, Quintanilla 2008)',
    publisher: 'European Journal of Operational Research 185',
    year: 2008,
    seen: 'from-memory',
  },
  'hartmann-1998': {
    title: 'A competitive genetic algorithm for resource-constrained project scheduling',
    publisher: 'Naval Research Logistics 45',
    year: 1998,
    seen: 'from-memory',
  },
  'regret-sampling': {
    title: 'Regret-based biased random sampling by latest finish (Drexl 1991, Kolisch 1996)',
    publisher: 'Management Science 37; Journal of Operations Management 14',
    year: 1996,
    seen: 'from-memory',
  },
  'resource-bounds': {
    title: 'Lower bounds: critical path, resource energy, heads and tails (Klein & Scholl 1999)',
    publisher: 'European Journal of Operational Research 112',
    year: 1999,
    seen: 'from-memory',
  },
  'season-rules': {
    title: 'Rules of a season plan: work days, waits, crews, moves, equipment, wishes',
    publisher: 'own derivation: from the types of a season, as documented there',
    year: null,
    seen: 'own-derivation',
  },
  'dual-feasible-functions': {
    title:
      'Bin packing bounds by dual feasible functions (Lueker 1983, Fekete & Schepers 2001), Gilmore & Gomory 1961',
    publisher: 'FOCS 24; Mathematical Programming 91; Operations Research 9',
    year: 2001,
    seen: 'from-memory',
  },
  'deletion-filter': {
    title:
      'Deletion filter: thinning an infeasible system to an irreducible one (Chinneck & Dravnieks)',
    publisher: 'ORSA Journal on Computing 3',
    year: 1991,
    seen: 'from-memory',
  },
  'guarded-fields': {
    title: 'Fields of one word compared in parallel by guard bits (Lamport 1975)',
    publisher: 'Communications of the ACM 18',
    year: 1975,
    seen: 'from-memory',
  },
  haversine: {
    title: 'Virtues of the haversine (Sinnott 1984): great-circle distance',
    publisher: 'Sky and Telescope 68',
    year: 1984,
    seen: 'from-memory',
  },
  'learning-curve': {
    title: 'Factors affecting the cost of airplanes: the learning curve (Wright 1936)',
    publisher: 'Journal of the Aeronautical Sciences 3',
    year: 1936,
    seen: 'from-memory',
  },
  'parallel-generation': {
    title:
      'Parallel generation of schedules by priority rules, day by day (Kelley 1963, Kolisch 1996)',
    publisher: 'Industrial Scheduling; European Journal of Operational Research 90',
    year: 1996,
    seen: 'from-memory',
  },
  knapsack: {
    title: 'Bounded knapsack by dynamic programming (Bellman 1957)',
    publisher: 'Dynamic Programming',
    year: 1957,
    seen: 'from-memory',
  },
  'cooling-search': {
    title: 'Optimization by simulated annealing (Kirkpatrick, Gelatt, Vecchi 1983)',
    publisher: 'Science 220',
    year: 1983,
    seen: 'from-memory',
  },
  mulberry: {
    title: 'Mulberry32, a 32-bit generator of random numbers in the public domain',
    publisher: 'Tommy Ettinger',
    year: 2017,
    seen: 'from-memory',
  },
  'wet-days': {
    title: 'Working time lost to wet days: negative binomial count, two-state chain of days',
    publisher: 'own derivation: recursion over the days, its mean in closed form',
    year: null,
    seen: 'own-derivation',
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
