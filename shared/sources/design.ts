import type { Source } from '../sources.ts';

/** Searches over whole designs. */
export const DESIGN_SOURCES = {
  'own-band-level-search': {
    title:
      'Fewest steel bands on a grid of levels: the highest possible band before each level, layer by layer',
    publisher: 'hoopwright',
    year: null,
    seen: 'own-derivation',
  },
  'own-tank-proposal': {
    title:
      'Least-cost tank on a grid of diameters, walls and band sections that passes every check',
    publisher: 'hoopwright',
    year: null,
    seen: 'own-derivation',
  },
  'sadowski-1959': {
    title:
      'A few remarks on the assortment problem (Management Science 6:13-24): sizes to stock when a larger one may stand in for a smaller',
    publisher: 'Institute of Management Sciences',
    year: 1959,
    seen: 'from-memory',
  },
} as const satisfies Readonly<Record<string, Source>>;
