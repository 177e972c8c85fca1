import { EngineError } from '../errors.ts';
import { cylinderCapacityL } from '../geometry/cylinder.ts';
import type { SourceId } from '../sources.ts';
import { checkTank, type TankCheck } from './check-tank.ts';
import type { ProposalSpace } from './proposal-input.ts';
import type { TankDesignInput } from './tank-design-input.ts';

/** What stops a design: a check above the wanted utilisation, or a value outside its range. */
export type DesignStop =
  | {
      readonly kind: 'check';
      readonly checkId: string;
      readonly title: string;
      readonly utilisationRatio: number;
      readonly limitRatio: number;
      readonly source: SourceId;
    }
  | {
      readonly kind: 'limit';
      readonly parameter: string;
      readonly value: number | string | null;
      readonly limit: string;
    };

export interface DesignTrial {
  /** Null when the checks refuse the design. */
  readonly check: TankCheck | null;
  /** Worst first; none when the design may be proposed. */
  readonly stops: readonly DesignStop[];
}

/** Litres by which a sum of lengths may fall short of what is asked. */
const CAPACITY_SLACK_L = 1e-6;

/**
 * Water between the tap and the overflow of a shape [L].
 *
 * @source own-tank-proposal
 */
export function usableCapacityL(
  { unusableDepthM }: Pick<ProposalSpace, 'unusableDepthM'>,
  insideDiameterM: number,
  waterDepthM: number,
): number {
  const usableDepthM = waterDepthM - unusableDepthM;
  return usableDepthM > 0 ? cylinderCapacityL(insideDiameterM, usableDepthM) : 0;
}

/**
 * Whether a shape holds the water that is asked.
 *
 * @source own-tank-proposal
 */
export function holdsEnough(
  space: Pick<ProposalSpace, 'unusableDepthM' | 'leastCapacityL'>,
  insideDiameterM: number,
  waterDepthM: number,
): boolean {
  const capacityL = usableCapacityL(space, insideDiameterM, waterDepthM);
  return capacityL >= space.leastCapacityL - CAPACITY_SLACK_L;
}

/**
 * An EngineError as the stop of a design; anything else is thrown on.
 *
 * @source own-tank-proposal
 */
export function limitStop(error: unknown): DesignStop {
  if (!(error instanceof EngineError)) throw error;
  const { parameter, value, limit } = error;
  const isPlain = typeof value === 'string' || Number.isFinite(value);
  return { kind: 'limit', parameter, value: isPlain ? (value as number | string) : null, limit };
}

/**
 * Checks one design against the wanted utilisation and capacity.
 *
 * @returns the whole check, and what stops the design
 * @source own-tank-proposal
 */
export function tryDesign(space: ProposalSpace, design: TankDesignInput): DesignTrial {
  let check: TankCheck;
  try {
    check = checkTank(design);
  } catch (error) {
    return { check: null, stops: [limitStop(error)] };
  }
  const stops: DesignStop[] = check.checks
    .filter(({ utilisationRatio }) => utilisationRatio > space.maxUtilisationRatio)
    .toSorted((a, b) => b.utilisationRatio - a.utilisationRatio)
    .map(({ id, title, utilisationRatio, source }) => ({
      kind: 'check',
      checkId: id,
      title,
      utilisationRatio,
      limitRatio: space.maxUtilisationRatio,
      source,
    }));
  const { insideDiameterM, waterDepthM } = design;
  if (!holdsEnough(space, insideDiameterM, waterDepthM)) {
    stops.unshift({
      kind: 'limit',
      parameter: 'usableCapacityL',
      value: usableCapacityL(space, insideDiameterM, waterDepthM),
      limit: `must be at least the ${space.leastCapacityL} L asked for`,
    });
  }
  return { check, stops };
}
