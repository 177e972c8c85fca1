import { requireNotNegative } from '../errors.ts';
import type { SourceId } from '../sources.ts';
import { MAX_SECTION_LOSS_RATIO } from './band-corrosion.ts';

/** When a tank is looked at, days after its first filling; then every year before the rains. */
export const INSPECTION_DAYS = [7, 30, 182] as const;

/** Years after building from which one window is cut on a bamboo hoop. */
export const BAMBOO_WINDOW_FROM_YEARS = 5;

/** Findings above which the tank is drawn down to a third and the engineer called. Ours. */
export const DRAWDOWN_LIMITS = {
  weepingCrackMm: 0.1,
  bandSectionLossRatio: MAX_SECTION_LOSS_RATIO,
  bulgeMm: 5,
  hollowAreaM2: 0.1,
  tiltRatio: 1 / 200,
} as const;

export const DRAWDOWN_FILL_RATIO = 1 / 3;

export interface InspectionFindings {
  /** Widest crack that weeps; 0 when none does. */
  readonly weepingCrackMm: number;
  readonly bandSectionLossRatio: number;
  readonly bulgeMm: number;
  readonly hollowAreaM2: number;
  readonly tiltRatio: number;
}

export interface DrawdownReason {
  readonly finding: keyof InspectionFindings;
  readonly text: string;
  readonly source: SourceId;
}

const TEXTS: Readonly<Record<keyof InspectionFindings, string>> = {
  weepingCrackMm: 'A crack wider than 0.1 mm weeps.',
  bandSectionLossRatio: 'A band has lost more than 20 % of its section.',
  bulgeMm: 'The wall bulges more than 5 mm.',
  hollowAreaM2: 'An area of more than 0.1 m² sounds hollow.',
  tiltRatio: 'The tank tilts more than 1 in 200.',
};

const NAMES = Object.keys(TEXTS) as (keyof InspectionFindings)[];

/**
 * Reasons to draw a tank down to a third and call the engineer after an inspection.
 *
 * @returns one reason for each finding above its limit; empty when none is
 * @throws {EngineError} when a finding is not finite or negative
 * @source project-limit
 */
export function drawdownReasons(findings: InspectionFindings): DrawdownReason[] {
  requireNotNegative({ ...findings });
  return NAMES.filter((name) => findings[name] > DRAWDOWN_LIMITS[name]).map((finding) => ({
    finding,
    text: TEXTS[finding],
    source: 'project-limit',
  }));
}
