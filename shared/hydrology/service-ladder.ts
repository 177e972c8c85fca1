import { requireNotNegative } from '../errors.ts';

/** Kind of source in the household survey's sense; rainwater collection is an improved one. */
export type SourceKind = 'improved' | 'unimproved' | 'surface-water';

export interface ServiceEvidence {
  readonly sourceKind: SourceKind;
  /** Going, queuing, drawing and coming back. */
  readonly roundTripMinutes: number;
  /** Null where nobody has looked. */
  readonly isOnPremises: boolean | null;
  /** Enough water whenever needed in the last month, by the household or by records. */
  readonly isAvailableWhenNeeded: boolean | null;
  /** By a water test, not by the look of the tank. */
  readonly isFreeFromContamination: boolean | null;
}

export type ServiceRung = 'basic' | 'limited' | 'unimproved' | 'surface-water';

export interface ServiceClass {
  readonly rung: ServiceRung;
  /** What the rung above basic asks beyond it, and has no evidence or evidence against. */
  readonly notShownForHigherRung: readonly HigherRungCriterion[];
}

export type HigherRungCriterion =
  | 'on-premises'
  | 'available-when-needed'
  | 'free-from-contamination';

/** Round trip up to which an improved source is a basic service, not a limited one. */
const BASIC_ROUND_TRIP_MINUTES = 30;

/**
 * Rung of the international drinking-water ladder that the evidence supports. The rung above basic
 * is not awarded here: it is for the water and health authorities; what would still have to be
 * shown for it is listed. A tank that has been built is not by itself any rung.
 *
 * @param evidence null where nobody has looked, which never counts as yes
 * @throws {EngineError} for a negative round trip
 * @source jmp-ladder
 */
export function serviceRung(evidence: ServiceEvidence): ServiceClass {
  const { roundTripMinutes, sourceKind } = evidence;
  requireNotNegative({ roundTripMinutes });
  const notShownForHigherRung: HigherRungCriterion[] = [];
  if (evidence.isOnPremises !== true) notShownForHigherRung.push('on-premises');
  if (evidence.isAvailableWhenNeeded !== true) notShownForHigherRung.push('available-when-needed');
  if (evidence.isFreeFromContamination !== true) {
    notShownForHigherRung.push('free-from-contamination');
  }
  if (sourceKind !== 'improved') return { rung: sourceKind, notShownForHigherRung };
  const rung = roundTripMinutes <= BASIC_ROUND_TRIP_MINUTES ? 'basic' : 'limited';
  return { rung, notShownForHigherRung };
}
