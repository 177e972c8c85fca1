import { EngineError, requireFinite, requireNotNegative, requirePositive } from '../errors.ts';

/**
 * How evaporation and rain are taken out of the level readings. `covered`: lid on, inlet sealed.
 * `control-pan`: a watertight pan with the same exposure, read on the same days.
 * `estimate`: open tank, evaporation estimated and rain measured.
 */
export type LevelCorrection =
  | { readonly kind: 'covered' }
  | {
      readonly kind: 'control-pan';
      readonly startReadingMm: number;
      readonly endReadingMm: number;
    }
  | { readonly kind: 'estimate'; readonly evaporationMm: number; readonly rainMm: number };

export interface WatertightnessTest {
  /** Level below a fixed mark at the start: a larger reading is a lower level. */
  readonly startReadingMm: number;
  readonly endReadingMm: number;
  readonly testDays: number;
  /** Days full, and topped up, before the test began. */
  readonly soakDays: number;
  readonly correction: LevelCorrection;
  /** Average depth of the full tank. */
  readonly averageDepthM: number;
  readonly waterSurfaceAreaM2: number;
  /** Error of one level reading. */
  readonly readingErrorMm: number;
  /** A running leak, or damp outside that wets the hand, on any day of the test. */
  readonly hasVisibleLeak: boolean;
}

export type WatertightnessOutcome = 'pass' | 'fail' | 'inconclusive';

export type WatertightnessReason =
  | 'visible-leak'
  | 'drop-above-limit'
  | 'drop-within-limit'
  | 'within-reading-error'
  | 'level-rose'
  | 'soak-too-short';

export interface WatertightnessResult {
  readonly outcome: WatertightnessOutcome;
  readonly reason: WatertightnessReason;
  /** Change of level as read. */
  readonly dropMm: number;
  /** Drop that is left to leakage; negative when the level rose. */
  readonly leakDropMm: number;
  readonly limitMm: number;
  readonly leakErrorMm: number;
  readonly volumeLostL: number;
  /** Volume lost in a day over the full volume. */
  readonly lossRatioPerDay: number;
}

/** Total drop over seven days: this share of the average depth, and at most 10 mm. */
const DEPTH_SHARE = 1 / 500;
export const GREATEST_DROP_MM = 10;
export const WATERTIGHTNESS_TEST_DAYS = 7;
/** Soaking before the test where the design crack is 0.1 mm; 21 days for 0.2 mm. */
export const LEAST_SOAK_DAYS = 7;

/**
 * Largest drop allowed in the seven-day test. The source lists 1/500 of the depth and 10 mm as
 * alternatives; taking the lesser is ours.
 *
 *   L = min(d / 500, 10 mm)
 *
 * @param averageDepthM d, average depth of the full tank [m]
 * @returns millimetres in seven days
 * @throws {EngineError} `out-of-range` for a depth not above 0
 * @source bs-8007 clause 9.2
 */
export function watertightnessDropLimit(averageDepthM: number): number {
  requirePositive({ averageDepthM });
  return Math.min(averageDepthM * 1000 * DEPTH_SHARE, GREATEST_DROP_MM);
}

/**
 * Judges a seven-day level test. The limit is borrowed: it was not written for bamboo, steel-band
 * and mortar tanks.
 *
 *   covered: Δ = h₁ − h₀; control pan: Δ − Δ_pan; estimate: Δ − E + P
 *
 * The error of the leak is the root of the sum of squares of the readings it is made of: two, or
 * four with a pan. A result nearer to the limit than its error is inconclusive (ours). A visible
 * leak fails whatever the level does.
 *
 * @param test h₀, h₁ = readings below the mark [mm]; E = evaporationMm, P = rainMm [mm]
 * @returns outcome and reason, drops [mm], volume lost [L], loss per day over the full volume
 * @throws {EngineError} `out-of-range` when the test did not last 7 days, or for negative depths,
 *   areas, errors, rain or evaporation; `not-finite`
 * @source bs-8007 clause 9.2
 * @source bs-5337 10 mm in 7 days
 * @source own-watertightness-judgement
 */
export function judgeWatertightness(test: WatertightnessTest): WatertightnessResult {
  const { startReadingMm, endReadingMm, testDays, soakDays, readingErrorMm } = test;
  requireFinite({ startReadingMm, endReadingMm });
  requireNotNegative({ soakDays, readingErrorMm });
  requirePositive({ waterSurfaceAreaM2: test.waterSurfaceAreaM2 });
  if (testDays !== WATERTIGHTNESS_TEST_DAYS) {
    const limit = `must be ${WATERTIGHTNESS_TEST_DAYS}, the days for which the limit is written`;
    throw new EngineError('out-of-range', 'testDays', testDays, limit);
  }
  const dropMm = endReadingMm - startReadingMm;
  const { correctionMm, readings } = correctionOf(test.correction);
  const leakDropMm = dropMm - correctionMm;
  const limitMm = watertightnessDropLimit(test.averageDepthM);
  const leakErrorMm = Math.sqrt(readings) * readingErrorMm;
  const found = { leakDropMm, limitMm, leakErrorMm };
  const reason = reasonOf(test, found);
  const averageDepthMm = test.averageDepthM * 1000;
  return {
    outcome: OUTCOME_BY_REASON[reason],
    reason,
    dropMm,
    ...found,
    volumeLostL: leakDropMm * test.waterSurfaceAreaM2,
    lossRatioPerDay: leakDropMm / averageDepthMm / testDays,
  };
}

const OUTCOME_BY_REASON: Readonly<Record<WatertightnessReason, WatertightnessOutcome>> = {
  'visible-leak': 'fail',
  'drop-above-limit': 'fail',
  'drop-within-limit': 'pass',
  'within-reading-error': 'inconclusive',
  'level-rose': 'inconclusive',
  'soak-too-short': 'inconclusive',
};

function reasonOf(
  { hasVisibleLeak, soakDays }: WatertightnessTest,
  found: Pick<WatertightnessResult, 'leakDropMm' | 'limitMm' | 'leakErrorMm'>,
): WatertightnessReason {
  const { leakDropMm, limitMm, leakErrorMm } = found;
  if (hasVisibleLeak) return 'visible-leak';
  if (leakDropMm < 0 && -leakDropMm > leakErrorMm) return 'level-rose';
  if (leakErrorMm > 0 && Math.abs(leakDropMm - limitMm) < leakErrorMm)
    return 'within-reading-error';
  if (leakDropMm > limitMm) return 'drop-above-limit';
  // A dry wall still drinks water, so a short soak can spoil a pass but never excuse a fail.
  return soakDays < LEAST_SOAK_DAYS ? 'soak-too-short' : 'drop-within-limit';
}

function correctionOf(correction: LevelCorrection): { correctionMm: number; readings: number } {
  if (correction.kind === 'control-pan') {
    const { startReadingMm, endReadingMm } = correction;
    requireFinite({
      'correction.startReadingMm': startReadingMm,
      'correction.endReadingMm': endReadingMm,
    });
    return { correctionMm: endReadingMm - startReadingMm, readings: 4 };
  }
  if (correction.kind === 'estimate') {
    const { evaporationMm, rainMm } = correction;
    requireNotNegative({ 'correction.evaporationMm': evaporationMm, 'correction.rainMm': rainMm });
    return { correctionMm: evaporationMm - rainMm, readings: 2 };
  }
  return { correctionMm: 0, readings: 2 };
}
