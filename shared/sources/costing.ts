import type { Source } from '../sources.ts';

export const COSTING_SOURCES = {
  'iso-4217': {
    title: 'ISO 4217, codes of currencies and their minor units',
    publisher: 'International Organization for Standardization',
    year: 2015,
    seen: 'from-memory',
  },
  'half-even': {
    title: 'IEEE 754 rounding to nearest, ties to even, applied to decimals',
    publisher: 'IEEE',
    year: 2019,
    seen: 'from-memory',
  },
  'largest-remainder': {
    title: 'Method of largest remainders (Hamilton) for whole parts of a total',
    publisher: 'apportionment literature',
    year: null,
    seen: 'from-memory',
  },
  'costing-own': {
    title: 'Exact decimal sums of priced bills, offers and orders',
    publisher: 'this project',
    year: null,
    seen: 'own-derivation',
  },
  'fidic-13-8': {
    title: 'Conditions of Contract, clause 13.8: Pn = a + b·Ln/Lo + c·En/Eo + d·Mn/Mo + …',
    publisher: 'FIDIC',
    year: 1999,
    seen: 'quoted',
  },
  'price-adjustment-set': {
    title: 'Published coefficient set 0.2, 0.024, 0.056, 0.216, 0.126, 0.378 with its indices',
    publisher: 'public contract notice',
    year: null,
    seen: 'quoted',
  },
  'compound-growth': {
    title: 'Compound growth, present value and capital recovery factor',
    publisher: 'engineering economics textbooks',
    year: null,
    seen: 'from-memory',
  },
  'irc-life-cycle': {
    title: 'Life-cycle cost components CapEx, OpEx, CapManEx, support and capital',
    publisher: 'IRC, WASHCost project',
    year: 2011,
    seen: 'quoted',
  },
  'triangular-distribution': {
    title: 'Mean and variance of the triangular distribution, normal sum of independent lines',
    publisher: 'risk analysis textbooks',
    year: null,
    seen: 'from-memory',
  },
  'us-2-cfr-200-306': {
    title: '2 CFR 200.306, cost sharing and in-kind contributions',
    publisher: 'United States Code of Federal Regulations',
    year: null,
    seen: 'quoted',
  },
  'iso-21508': {
    title: 'ISO 21508, earned value management in project and programme management',
    publisher: 'International Organization for Standardization',
    year: 2018,
    seen: 'quoted',
  },
  'lipke-2003': {
    title: 'Schedule is different (earned schedule), and papers by Henderson',
    publisher: 'The Measurable News',
    year: 2003,
    seen: 'quoted',
  },
  'unit-cost-practice': {
    title: 'Cost per tank, litre of usable capacity and person served',
    publisher: 'water programmes',
    year: null,
    seen: 'common-practice',
  },
  'care-food-manual-1998': {
    title: 'Waybill and receipt: good, damaged, missing and excess',
    publisher: 'CARE',
    year: 1998,
    seen: 'quoted',
  },
} as const satisfies Readonly<Record<string, Source>>;
