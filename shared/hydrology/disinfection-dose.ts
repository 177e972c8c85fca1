import { EngineError, requirePositive, requireWithin } from '../errors.ts';
import {
  DOSING_CAUTIONS,
  DRINKING_DOSE_CAUTIONS,
  OLD_PRODUCT_CAUTION,
  SHOCK_DOSE_CAUTIONS,
} from './disinfection-cautions.ts';

export type ChlorineProduct =
  /** Calcium hypochlorite and the like; the ratio is available chlorine by mass, from the label. */
  | { readonly kind: 'powder'; readonly availableChlorineRatio: number }
  /** Sodium hypochlorite; 12.5 % by weight per volume is 0.125 g/mL. */
  | { readonly kind: 'liquid'; readonly chlorineGPerMl: number };

/** `drinking`: the water will be drunk. `shock`: a new or repaired tank, water run to waste. */
export type DosingPurpose = 'drinking' | 'shock';

export interface ChlorineDoseInput {
  /** Water in the tank now, not the capacity of the tank. */
  readonly waterVolumeL: number;
  readonly doseMgPerL: number;
  readonly product: ChlorineProduct;
  /** Cyanurate products, often sold for pools. */
  readonly isStabilised: boolean;
  readonly productAgeDays: number;
  readonly purpose: DosingPurpose;
}

export interface ChlorineDose {
  readonly amount: number;
  readonly unit: 'g' | 'mL';
  /** False for shock dosing until the residual has been measured at 5 mg/L or less. */
  readonly mayBeDrunkOnceChecked: boolean;
  /** Free chlorine to measure 30 minutes after dosing [mg/L]; null for shock dosing. */
  readonly targetFreeChlorineMgPerL: number | null;
  readonly cautions: readonly string[];
}

/** Health-based maximum of free chlorine in drinking water. */
export const GREATEST_DRINKING_DOSE_MG_PER_L = 5;
/** Strongest solution of the shock methods: 200 mg/L, sprayed or brushed on. */
export const GREATEST_SHOCK_DOSE_MG_PER_L = 200;
export const TARGET_FREE_CHLORINE_MG_PER_L = 0.5;

/** Age from which a label strength is doubted: common practice, no source. */
const OLD_PRODUCT_DAYS = 180;

/** Strengths on sale: 100 % chlorine by mass, and 0.2 g/mL in liquid, bound a typing error. */
const GREATEST_LIQUID_G_PER_ML = 0.2;

/**
 * Starting dose of a chlorine product for the water in a tank.
 *
 *   powder: m [g] = V·c / (1000·p)   liquid: v [mL] = V·c / (1000·p)
 *
 * A starting dose only: the residual is measured 30 minutes later. Routine chlorination of a
 * household tank is not generally appropriate; this is a remedial act.
 *
 * @param input V = waterVolumeL, c = doseMgPerL, p = strength of the product
 * @returns amount [g or mL], the residual to look for, and the cautions to show with it
 * @throws {EngineError} `out-of-range` for a dose above 5 mg/L in water to be drunk, a dose above
 *   200 mg/L, a stabilised product, or a strength outside its range
 * @source enhealth-2010 section 5.2
 * @source nsw-health-private-water pages 26 to 27
 */
export function chlorineDose(input: ChlorineDoseInput): ChlorineDose {
  const { waterVolumeL, doseMgPerL, product, purpose, productAgeDays } = input;
  requirePositive({ waterVolumeL, doseMgPerL });
  requireWithin('productAgeDays', productAgeDays, 0, 36_500);
  if (input.isStabilised) {
    const limit = 'must be false: stabilised (cyanurate) chlorine is not for rainwater tanks';
    throw new EngineError('out-of-range', 'isStabilised', true, limit);
  }
  const isShock = purpose === 'shock';
  const greatest = isShock ? GREATEST_SHOCK_DOSE_MG_PER_L : GREATEST_DRINKING_DOSE_MG_PER_L;
  if (doseMgPerL > greatest) {
    const use = isShock ? 'for shock dosing' : 'in water that will be drunk';
    const limit = `must not exceed ${greatest} mg/L ${use}`;
    throw new EngineError('out-of-range', 'doseMgPerL', doseMgPerL, limit);
  }
  const cautions = [
    ...(isShock ? SHOCK_DOSE_CAUTIONS : DRINKING_DOSE_CAUTIONS),
    ...DOSING_CAUTIONS,
    ...(productAgeDays > OLD_PRODUCT_DAYS ? [OLD_PRODUCT_CAUTION] : []),
  ];
  return {
    amount: (waterVolumeL * doseMgPerL) / (1000 * strengthOf(product)),
    unit: product.kind === 'powder' ? 'g' : 'mL',
    mayBeDrunkOnceChecked: !isShock,
    targetFreeChlorineMgPerL: isShock ? null : TARGET_FREE_CHLORINE_MG_PER_L,
    cautions,
  };
}

/**
 * Chlorine that a weighed powder gives: the inverse of the powder dose.
 *
 *   c = 1000·p·m / V
 *
 * @returns mg/L
 * @throws {EngineError} `out-of-range` for a mass, volume or strength not above 0
 * @source enhealth-2010 section 5.2
 */
export function doseOfPowder(
  powderG: number,
  waterVolumeL: number,
  availableChlorineRatio: number,
): number {
  requirePositive({ powderG, waterVolumeL });
  return (1000 * strengthOf({ kind: 'powder', availableChlorineRatio }) * powderG) / waterVolumeL;
}

/**
 * Dose for water treated in the household, by its cloudiness, to keep 0.2 mg/L in storage.
 *
 * @param turbidityNtu 0 to 100
 * @returns 2 mg/L below 10 NTU, 4 mg/L from 10 to 100 NTU
 * @throws {EngineError} `out-of-range` above 100 NTU: settle or filter the water first
 * @source lantagne-2008
 */
export function householdDose(turbidityNtu: number): number {
  requireWithin('turbidityNtu', turbidityNtu, 0, 100);
  return turbidityNtu < 10 ? 2 : 4;
}

function strengthOf(product: ChlorineProduct): number {
  if (product.kind === 'powder') {
    const { availableChlorineRatio } = product;
    requirePositive({ availableChlorineRatio });
    requireWithin('availableChlorineRatio', availableChlorineRatio, 0, 1);
    return availableChlorineRatio;
  }
  const { chlorineGPerMl } = product;
  requirePositive({ chlorineGPerMl });
  requireWithin('chlorineGPerMl', chlorineGPerMl, 0, GREATEST_LIQUID_G_PER_ML);
  return chlorineGPerMl;
}
