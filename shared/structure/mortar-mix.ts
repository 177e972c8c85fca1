import { requireNotNegative, requirePositive } from '../errors.ts';
import type { SourceId } from '../sources.ts';

/** Sand to cement by mass, and water to cement, of mortar that must hold water. */
export const MORTAR_MIX_LIMITS = {
  leastSandToCementRatio: 1.5,
  mostSandToCementRatio: 3,
  leastWaterToCementRatio: 0.35,
  mostWaterToCementRatio: 0.5,
} as const;

/** Wet curing asked by the programme, longer than the code's least. Ours. */
export const PROGRAMME_CURING_DAYS = 14;

const ORDINARY_CURING_DAYS = 7;
const SLOW_CURING_DAYS = 10;

export interface MortarMix {
  readonly sandToCementRatio: number;
  readonly waterToCementRatio: number;
  readonly isBlendedCement: boolean;
  readonly isHotDryWeather: boolean;
  readonly wetCuringDays: number;
}

export interface MortarRemark {
  readonly id: string;
  readonly text: string;
  readonly source: SourceId;
}

/**
 * Least days for which mortar must be kept wet by the code.
 *
 * @returns days: 7 with ordinary cement, 10 with blended cement or in hot dry weather
 * @source is-456 clause 13.5
 */
export function leastWetCuringDays(isBlendedCement: boolean, isHotDryWeather: boolean): number {
  return isBlendedCement || isHotDryWeather ? SLOW_CURING_DAYS : ORDINARY_CURING_DAYS;
}

/**
 * What is wrong with a mortar mix and its curing, in words; empty when nothing is.
 *
 * @throws {EngineError} when a ratio is not above 0 or the days are negative
 * @source aci-549-1r chapter 3; is-456 clause 13.5
 */
export function mortarRemarks(mix: MortarMix): MortarRemark[] {
  const { sandToCementRatio, waterToCementRatio, wetCuringDays } = mix;
  requirePositive({ sandToCementRatio, waterToCementRatio });
  requireNotNegative({ wetCuringDays });
  const limits = MORTAR_MIX_LIMITS;
  const leastDays = leastWetCuringDays(mix.isBlendedCement, mix.isHotDryWeather);
  const remarks: (MortarRemark & { readonly applies: boolean })[] = [
    {
      id: 'sand-rich',
      applies: sandToCementRatio > limits.mostSandToCementRatio,
      text: 'More than 3 of sand to 1 of cement by mass leaks and cracks.',
      source: 'aci-549-1r',
    },
    {
      id: 'cement-rich',
      applies: sandToCementRatio < limits.leastSandToCementRatio,
      text: 'Less than 1.5 of sand to 1 of cement by mass shrinks and cracks.',
      source: 'aci-549-1r',
    },
    {
      id: 'too-wet',
      applies: waterToCementRatio > limits.mostWaterToCementRatio,
      text: 'More than 0.50 of water to cement by mass is weak and leaks; use a plasticiser.',
      source: 'aci-549-1r',
    },
    {
      id: 'too-dry',
      applies: waterToCementRatio < limits.leastWaterToCementRatio,
      text: 'Less than 0.35 of water to cement by mass cannot be worked into the wall by hand.',
      source: 'aci-549-1r',
    },
    {
      id: 'slow-strength',
      applies: mix.isBlendedCement,
      text: 'Blended or pozzolana cement sets slowly and reached about 70 % of the strength of ordinary cement.',
      source: 'dtu-case-study-11',
    },
    {
      id: 'short-curing',
      applies: wetCuringDays < leastDays,
      text: `Keep it wet at least ${leastDays} days.`,
      source: 'is-456',
    },
    {
      id: 'below-programme-curing',
      applies: wetCuringDays >= leastDays && wetCuringDays < PROGRAMME_CURING_DAYS,
      text: `The programme asks ${PROGRAMME_CURING_DAYS} days of wet curing before any water.`,
      source: 'project-limit',
    },
  ];
  return remarks
    .filter((remark) => remark.applies)
    .map(({ id, text, source }) => ({ id, text, source }));
}
