import { checkTank } from '../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../shared/design/tank-design-input.ts';
import { completeTankDesign } from '../../shared/design/tank-design-input.ts';
import { cylinderWall } from '../../shared/structure/cylinder-wall.ts';
import { printBenchLine } from './bench-line.ts';
import { interleaved } from './median-time.ts';

const ROUNDS = 60;
const CHECKS_A_ROUND = 20;
const WARM_UPS = 1_000;

/** The worked tank of 5,000 litres on firm clay, earthquake checked too. */
export const WORKED_TANK: TankDesignInput = {
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
  seismic: { impulsiveCoefficient: 0.1, convectiveCoefficient: 0.04 },
};

/** A whole check of one design, against the three exact solutions of its wall alone. */
export async function benchTankCheck(): Promise<void> {
  const design = completeTankDesign(WORKED_TANK);
  const check = () => checkTank(WORKED_TANK);
  const wallsAlone = () =>
    (['fixed', 'hinged', 'free'] as const).map((base) => cylinderWall(design, base));
  for (let turn = 0; turn < WARM_UPS; turn++) {
    check();
    wallsAlone();
  }
  const { oursMs, baselineMs } = await interleaved(
    ROUNDS,
    () => times(CHECKS_A_ROUND, check),
    () => times(CHECKS_A_ROUND, wallsAlone),
  );
  const { checks, lostBands, cautions } = check();
  printBenchLine({
    name: 'tank-check',
    value: (oursMs * 1_000) / CHECKS_A_ROUND,
    unit: 'µs',
    baseline: (baselineMs * 1_000) / CHECKS_A_ROUND,
    note: `worked tank of 5,000 L: ${checks.length} checks, ${lostBands.length} lost bands, ${cautions.length} cautions, input guarded; baseline: only the exact wall with fixed, hinged and free base`,
  });
}

function times(count: number, work: () => unknown): void {
  for (let turn = 0; turn < count; turn++) work();
}
