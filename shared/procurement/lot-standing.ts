import { addDays, calendarDay, daysBetween } from '../units/calendar.ts';

export const LOT_STATES = ['usable', 'expired', 'failed-test', 'recalled'] as const;
export type LotState = (typeof LOT_STATES)[number];

/** The rule that keeps a lot from being used. */
export type LotRule = 'lot-expired' | 'lot-failed-test' | 'lot-recalled';

/** What is known of a lot. */
export interface LotFacts {
  readonly expiresOn: string | null;
  /** The test with the latest date. */
  readonly lastTest: {
    readonly outcome: 'passed' | 'failed';
    readonly testedOn: string;
    /** Set by a passed test. */
    readonly usableUntil: string | null;
  } | null;
  /** Day of a recall that was not lifted. */
  readonly recalledOn: string | null;
}

export interface LotStanding {
  readonly state: LotState;
  /** Last day of use; null when it keeps. */
  readonly usableUntil: string | null;
  readonly rule: LotRule | null;
  /** Why it stands so, in a sentence. */
  readonly explanation: string;
}

/**
 * Last day on which a lot is used without a test: the day of manufacture + the days it keeps.
 *
 * @throws {EngineError} `out-of-range` for a malformed date or a count of days that is not whole
 * @source cement-store-b
 */
export function lotExpiresOn(manufacturedOn: string, shelfLifeDays: number): string {
  return addDays(manufacturedOn, shelfLifeDays);
}

/**
 * Whether a lot may be used on a day. An open recall forbids it, then a failed last test, then its
 * age; a passed last test sets the last day of use anew. Strength lost in store is never made up for
 * with more of the material.
 *
 * @throws {EngineError} `out-of-range` for a malformed date
 * @source cement-store-b
 */
export function lotStanding(lot: LotFacts, on: string): LotStanding {
  calendarDay(on, 'on');
  const { lastTest, recalledOn } = lot;
  const usableUntil = lastTest?.outcome === 'passed' ? lastTest.usableUntil : lot.expiresOn;
  if (recalledOn !== null) {
    return {
      state: 'recalled',
      usableUntil,
      rule: 'lot-recalled',
      explanation: `was recalled on ${recalledOn}; it stays in store until the recall is lifted.`,
    };
  }
  if (lastTest?.outcome === 'failed') {
    return {
      state: 'failed-test',
      usableUntil,
      rule: 'lot-failed-test',
      explanation: `failed its test of ${lastTest.testedOn}; it is used again only after a test that passes.`,
    };
  }
  if (usableUntil !== null && daysBetween(usableUntil, on) > 0) {
    return {
      state: 'expired',
      usableUntil,
      rule: 'lot-expired',
      explanation: `was usable until ${usableUntil}; on ${on} it is used only after a test that passes.`,
    };
  }
  return {
    state: 'usable',
    usableUntil,
    rule: null,
    explanation:
      usableUntil === null ? 'keeps without a last day of use.' : `is usable until ${usableUntil}.`,
  };
}
