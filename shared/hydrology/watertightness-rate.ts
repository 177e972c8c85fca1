import { requirePositive, requireWithin } from '../errors.ts';

/** The volume-rate test lasts the time of a 10 mm drop at the allowed rate, at most five days. */
const DROP_FOR_DURATION_MM = 10;
const GREATEST_RATE_TEST_DAYS = 5;

/** Allowed loss a day over the full volume, as named by the source. */
export const VOLUME_RATE_CLASSES = {
  'HST-025': 0.00025,
  'HST-050': 0.0005,
  'HST-100': 0.001,
} as const;

export interface VolumeRateTest {
  /** Drop of level allowed in a day, for a tank of even section. */
  readonly limitMmPerDay: number;
  /** Days in which the allowed rate would drop the level by 10 mm. */
  readonly theoreticalDays: number;
  /** Days to test: the theoretical days, at most five. */
  readonly testDays: number;
}

/**
 * Daily drop and duration of a test by rate of volume loss.
 *
 * @param averageDepthM average depth of the full tank, of even section [m]
 * @param allowedLossRatioPerDay loss a day over the full volume, above 0 and at most 0.01
 * @returns drop a day [mm] and days of test
 * @throws {EngineError} `out-of-range` for a depth not above 0 or a ratio outside its range
 * @source aci-350-1 tightness criteria
 */
export function volumeRateTest(
  averageDepthM: number,
  allowedLossRatioPerDay: number,
): VolumeRateTest {
  requirePositive({ averageDepthM, allowedLossRatioPerDay });
  requireWithin('allowedLossRatioPerDay', allowedLossRatioPerDay, 0, 0.01);
  const limitMmPerDay = averageDepthM * 1000 * allowedLossRatioPerDay;
  const theoreticalDays = DROP_FOR_DURATION_MM / limitMmPerDay;
  const testDays = Math.min(theoreticalDays, GREATEST_RATE_TEST_DAYS);
  return { limitMmPerDay, theoreticalDays, testDays };
}
