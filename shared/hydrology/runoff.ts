import { EngineError, requireNotNegative, requirePositive, requireWithin } from '../errors.ts';

/** One roof plane or group of planes that drains to the tank through the same gutter. */
export interface Roof {
  /** Plan (horizontal) area, not the sloping area. */
  readonly planAreaM2: number;
  readonly runoffCoefficient: number;
  /** Share of the roof runoff that the gutter, downpipe and filter deliver; 1 when not stated. */
  readonly gutterEfficiencyRatio?: number;
}

/**
 * Litres that reach the tank for each millimetre of rain left after the first flush.
 *
 *   Σ A·C·η   (1 mm on 1 m² is 1 L)
 *
 * @param roofs A = planAreaM2, C = runoffCoefficient, η = gutterEfficiencyRatio; at least one
 * @returns litres per millimetre
 * @throws {EngineError} `out-of-range` for no roof, an area not above 0, or C or η outside 0 to 1
 * @source en-16941-1 yield (coefficients entered by the caller)
 */
export function catchmentLPerMm(roofs: readonly Roof[]): number {
  if (roofs.length === 0) {
    throw new EngineError('out-of-range', 'roofs', '[]', 'must hold at least one roof');
  }
  let sumLPerMm = 0;
  roofs.forEach((roof, index) => {
    const efficiency = roof.gutterEfficiencyRatio ?? 1;
    requirePositive({ [`roofs[${index}].planAreaM2`]: roof.planAreaM2 });
    requireWithin(`roofs[${index}].runoffCoefficient`, roof.runoffCoefficient, 0, 1);
    requireWithin(`roofs[${index}].gutterEfficiencyRatio`, efficiency, 0, 1);
    sumLPerMm += roof.planAreaM2 * roof.runoffCoefficient * efficiency;
  });
  return sumLPerMm;
}

/**
 * Water that several roofs deliver to one tank, day by day.
 *
 *   Q = Σ(A·C·η) · max(0, P − f)
 *
 * The first flush f is taken from the rain depth of each wet day, before the runoff coefficient.
 * The tank and its cover catch nothing; there is no evaporation.
 *
 * @param input A, C, η as in {@link catchmentLPerMm}; P = dailyRainMm [mm], one a day, complete;
 *   f = firstFlushMm [mm], 0 by default
 * @returns inflow Q [L], one a day
 * @throws {EngineError} `out-of-range` or `not-finite` for a negative or non-finite depth
 * @source en-16941-1 yield
 * @source own-first-flush-convention
 */
export function dailyInflow(input: {
  readonly roofs: readonly Roof[];
  readonly dailyRainMm: ArrayLike<number>;
  readonly firstFlushMm?: number;
}): Float64Array {
  const { dailyRainMm, firstFlushMm = 0 } = input;
  requireNotNegative({ firstFlushMm });
  const litresPerMm = catchmentLPerMm(input.roofs);
  const inflowL = new Float64Array(dailyRainMm.length);
  for (let day = 0; day < inflowL.length; day += 1) {
    const rainMm = dailyRainMm[day] ?? Number.NaN;
    if (!(rainMm >= 0 && rainMm < Infinity))
      requireNotNegative({ [`dailyRainMm[${day}]`]: rainMm });
    inflowL[day] = rainMm > firstFlushMm ? litresPerMm * (rainMm - firstFlushMm) : 0;
  }
  return inflowL;
}

/**
 * Mean annual water from the roofs, without first flush: the first test of any proposal.
 *
 *   Y = Σ(A·C·η) · h
 *
 * @param annualRainMm h, mean annual rain [mm]
 * @returns litres a year
 * @throws {EngineError} as {@link catchmentLPerMm}; negative rain
 * @source en-16941-1 yield
 */
export function annualRunoff(roofs: readonly Roof[], annualRainMm: number): number {
  requireNotNegative({ annualRainMm });
  return catchmentLPerMm(roofs) * annualRainMm;
}
