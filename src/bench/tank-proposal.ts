import { tryDesign, usableCapacityL } from '../../shared/design/design-trial.ts';
import { neededCapacity } from '../../shared/design/needed-capacity.ts';
import {
  costBasis,
  designOf,
  type ProposalSpace,
  proposalSpace,
  type TankProposalInput,
} from '../../shared/design/proposal-input.ts';
import { proposeTank } from '../../shared/design/propose-tank.ts';
import { type PurchasableBand, tankCost } from '../../shared/design/tank-cost.ts';
import { printBenchLine } from './bench-line.ts';
import { madeRainMm } from './made-rain.ts';
import { interleaved } from './median-time.ts';

const ROUNDS = 5;
const MOST_BANDS = 8;

const band = (widthMm: number, thicknessMm: number, pricePerLength: string): PurchasableBand => ({
  widthMm,
  thicknessMm,
  yieldStrengthMPa: 250,
  jointEfficiencyRatio: 1,
  stockLengthM: 50,
  pricePerLength,
});

/** Invented prices and made rain: a family on 40 m² of sheet roof that draws 45 litres a day. */
const NEED = {
  roofAreaM2: 40,
  runoffCoefficient: 0.8,
  firstFlushMm: 1,
  dailyRainMm: madeRainMm(10),
  demandLPerDay: 45,
  operatingRule: 'yield-after-spillage',
  targetReliabilityRatio: 0.9,
} as const;

const SEARCH: Omit<TankProposalInput, 'leastCapacityL'> = {
  bandSections: [band(20, 2, '33.00'), band(25, 2, '41.00'), band(25, 3, '62.00')],
  prices: [
    { materialCode: 'cement', unitCode: 'KGM', unitRate: '0.188' },
    { materialCode: 'sand', unitCode: 'MTQ', unitRate: '18' },
    { materialCode: 'coarse-aggregate', unitCode: 'MTQ', unitRate: '24' },
    { materialCode: 'bamboo-culm', unitCode: 'H87', unitRate: '1.4' },
  ],
  currency: 'EUR',
  tankCount: 20,
  soilClass: 'firm-clay',
  insideDiameterM: { from: 1.5, to: 2.3, step: 0.1 },
  waterDepthM: { from: 1.2, to: 2, step: 0.1 },
  wallThicknessM: { from: 0.045, to: 0.065, step: 0.005 },
};

/** From a demand to the cheapest tank, against checking and pricing every design of the same grid. */
export async function benchTankProposal(): Promise<void> {
  const needed = neededCapacity(NEED);
  if (needed.status !== 'found') throw new Error(`The made rain gives no tank: ${needed.status}`);
  const input = { ...SEARCH, leastCapacityL: needed.capacityL };
  const ours = () => {
    neededCapacity(NEED);
    return proposeTank(input);
  };
  const everyDesign = () => cheapestOfAll(proposalSpace(input));
  const proposal = ours();
  const exhausted = everyDesign();
  if (proposal.status !== 'proposed') throw new Error('The search found no tank');
  const { oursMs, baselineMs } = await interleaved(ROUNDS, ours, everyDesign);
  printBenchLine({
    name: 'tank-proposal',
    value: oursMs,
    unit: 'ms',
    baseline: baselineMs,
    note: `${needed.capacityL} L needed; rain of 10 years, search and neighbours included: 20 tanks for ${proposal.cost.total.amount} EUR, ${proposal.search.checkedCount} checks before it; baseline: all ${exhausted.checkedCount} designs of the same grid with evenly loaded bands checked, those that pass priced: ${exhausted.leastCost.toFixed(2)} EUR`,
  });
}

/** Every shape and section of a search that holds the water, with 1 to 8 evenly loaded bands. */
function cheapestOfAll(space: ProposalSpace): { leastCost: number; checkedCount: number } {
  let leastCost = Number.POSITIVE_INFINITY;
  let checkedCount = 0;
  for (const insideDiameterM of space.diametersM) {
    for (const waterDepthM of space.depthsM) {
      if (usableCapacityL(space, insideDiameterM, waterDepthM) < space.leastCapacityL) continue;
      for (const wallThicknessM of space.wallsM) {
        const shape = { insideDiameterM, waterDepthM, wallThicknessM };
        for (const section of space.input.bandSections) {
          for (let count = 1; count <= MOST_BANDS; count++) {
            checkedCount++;
            const bands = { spacing: 'equal-load', count } as const;
            const design = designOf(space, shape, section, bands);
            if (tryDesign(space, design).stops.length > 0) continue;
            const { total } = tankCost(design, section, costBasis(space));
            leastCost = Math.min(leastCost, Number(total.amount));
          }
        }
      }
    }
  }
  return { leastCost, checkedCount };
}
