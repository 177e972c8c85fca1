import type { TankProposalBody } from '../../shared/contract/calculation-tank-proposal.ts';

/** The worked tank of 5,000 litres: D 1.9, H 1.8, wall 55 mm, dome rise 0.30. */
export const worked5000L = {
  insideDiameterM: 1.9,
  waterDepthM: 1.8,
  wallThicknessM: 0.055,
  bands: {
    widthMm: 25,
    thicknessMm: 2,
    yieldStrengthMPa: 250,
    jointEfficiencyRatio: 1,
    spacing: 'equal-load',
    count: 4,
  },
  dome: { riseM: 0.3, thicknessM: 0.04, gridSpacingM: 0.15 },
  slab: { diameterM: 2.31, thicknessM: 0.1 },
  soilClass: 'firm-clay',
} as const;

const PRICES = {
  cement: ['KGM', '0.188'],
  sand: ['MTQ', '18'],
  'coarse-aggregate': ['MTQ', '24'],
  hardcore: ['MTQ', '15'],
  'bamboo-culm': ['H87', '1.4'],
  'binding-wire': ['KGM', '1.65'],
} as const;

const band = (widthMm: number, thicknessMm: number, pricePerLength: string) => ({
  widthMm,
  thicknessMm,
  yieldStrengthMPa: 250,
  jointEfficiencyRatio: 1,
  stockLengthM: 50,
  pricePerLength,
});

/** A search around the worked tank, with invented prices. */
export const proposal5000L: TankProposalBody = {
  storage: { kind: 'capacity', leastCapacityL: 5_000 },
  soilClass: 'firm-clay',
  windSpeedMPerS: 39,
  bandSections: [band(20, 2, '33.00'), band(25, 2, '41.00'), band(25, 3, '62.00')],
  prices: Object.entries(PRICES).map(([materialCode, [unitCode, unitRate]]) => ({
    materialCode,
    unitCode,
    unitRate,
  })),
  currency: 'EUR',
  tankCount: 20,
  insideDiameterM: { from: 1.7, to: 2.1, step: 0.1 },
  waterDepthM: { from: 1.4, to: 2, step: 0.1 },
  wallThicknessM: { from: 0.045, to: 0.065, step: 0.005 },
};
