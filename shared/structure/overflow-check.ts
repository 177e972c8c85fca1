import { requireNotNegative, requirePositive, requireWithin } from '../errors.ts';
import type { SourceId } from '../sources.ts';
import { type CheckResult, judge } from './check-result.ts';
import { standPipeFlow } from './overflow-outlet.ts';
import { LEAST_OVERFLOW_RAIN_MM_PER_H, peakRoofFlowLPerS } from './rain-pipe.ts';

/** Share of the screen taken to be blocked. Ours. */
export const SCREEN_BLOCKED_RATIO = 0.5;

/** Overflow lip below the springing of the dome, and below the inlet. Ours. */
const LEAST_DROP_M = 0.05;

export interface OverflowInput {
  readonly roofAreaM2: number;
  readonly rainMmPerH: number;
  readonly overflowBoreMm: number;
  /** Water above the lip of the overflow before it reaches the springing. */
  readonly overflowHeadMm: number;
  readonly inletBoreMm: number;
  readonly overflowBelowSpringingM: number;
  readonly overflowBelowInletM: number;
  /** Free area of the insect screen over the bore of the pipe; 2 when doubled. */
  readonly screenAreaRatio: number;
}

export interface OverflowRemark {
  readonly id: string;
  readonly text: string;
  readonly source: SourceId;
}

export interface OverflowResult {
  readonly peakInflowLPerS: number;
  readonly overflowFlowLPerS: number;
  readonly checks: readonly CheckResult[];
  readonly remarks: readonly OverflowRemark[];
}

/**
 * Checks the overflow of a tank against the peak flow from its roof.
 *
 * All the rain is taken to run off. With half of the screen blocked, the flow is the stand-pipe's
 * times the free screen area left, never more than the stand-pipe's.
 *
 * @returns flows [L/s], one check, and departures from the rules for bore and levels
 * @throws {EngineError} when a size is not above 0 or a drop is negative
 * @source en-12056-3 outlets; project-limit screen and levels
 */
export function checkOverflow(input: OverflowInput): OverflowResult {
  const { overflowBoreMm, inletBoreMm, screenAreaRatio, rainMmPerH } = input;
  const { overflowBelowSpringingM, overflowBelowInletM } = input;
  requirePositive({ inletBoreMm, overflowHeadMm: input.overflowHeadMm, screenAreaRatio });
  requireNotNegative({ overflowBelowSpringingM, overflowBelowInletM });
  requireWithin('screenAreaRatio', screenAreaRatio, 0, 20);
  const peakInflowLPerS = peakRoofFlowLPerS(input.roofAreaM2, rainMmPerH, 1);
  const pipe = standPipeFlow(overflowBoreMm, input.overflowHeadMm);
  const openRatio = Math.min(1, screenAreaRatio * (1 - SCREEN_BLOCKED_RATIO));
  const overflowFlowLPerS = pipe.flowLPerS * openRatio;
  const rules: (OverflowRemark & { readonly applies: boolean })[] = [
    {
      id: 'overflow-bore',
      applies: overflowBoreMm <= inletBoreMm,
      text: 'The overflow must be at least one size larger than the inlet.',
      source: 'project-limit',
    },
    {
      id: 'overflow-below-springing',
      applies: overflowBelowSpringingM < LEAST_DROP_M,
      text: 'The overflow must lie at least 50 mm below the springing of the dome.',
      source: 'project-limit',
    },
    {
      id: 'overflow-below-inlet',
      applies: overflowBelowInletM < LEAST_DROP_M,
      text: 'The overflow must lie at least 50 mm below the inlet.',
      source: 'project-limit',
    },
    {
      id: 'overflow-rain',
      applies: rainMmPerH < LEAST_OVERFLOW_RAIN_MM_PER_H,
      text: 'In the tropics an overflow should be sized for 150 to 200 mm an hour at least.',
      source: 'project-limit',
    },
  ];
  return {
    peakInflowLPerS,
    overflowFlowLPerS,
    checks: [
      judge({
        id: 'overflow-capacity',
        title: 'Peak flow of the roof against the overflow with half of its screen blocked',
        demand: peakInflowLPerS,
        capacity: overflowFlowLPerS,
        unit: 'L/s',
        source: 'en-12056-3',
      }),
    ],
    remarks: rules
      .filter((rule) => rule.applies)
      .map(({ id, text, source }) => ({ id, text, source })),
  };
}
