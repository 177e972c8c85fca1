import { isDeepStrictEqual } from 'node:util';
import type { DesignDecision, DesignRevision } from '../../../shared/contract/design-revision.ts';
import type { TankKind } from '../../../shared/contract/tank-kind.ts';
import type { TankCheck } from '../../../shared/design/check-tank.ts';
import { tankDrawing } from '../../../shared/drawing/tank-drawing.ts';
import type { DrawingRecipe } from '../../../shared/drawing/tank-drawing-input.ts';
import { EngineError } from '../../../shared/errors.ts';
import { notFound } from '../../domain/errors.ts';
import { takeOffOf } from './revision-take-off.ts';

export interface DrawingFile {
  readonly svg: string;
  readonly fileName: string;
}

const DECIDED = {
  approved: 'Approved',
  refused: 'Refused',
  withdrawn: 'Approval withdrawn',
} as const satisfies Record<DesignDecision['decision'], string>;

const RECIPE_CHANGED =
  'The recipe of this kind of tank has changed since this revision was made. Laps, tails and the place of the boards on these sheets follow the recipe of today; the bill of the revision does not.';

function approvalOf({ decisions }: DesignRevision): string | null {
  const last = decisions.at(-1);
  if (!last) return null;
  const { decision, decidedAt, engineerName, registrationNumber } = last;
  const on = decidedAt.slice(0, 10);
  return `${DECIDED[decision]} on ${on} by ${engineerName}, registration ${registrationNumber}.`;
}

/** Whether the recipe of today still gives the bill that the revision keeps. */
function isAsTakenOff({ input, takeOff }: DesignRevision, recipe: TankKind['recipe']): boolean {
  try {
    return isDeepStrictEqual(takeOffOf(input, recipe), takeOff);
  } catch (error) {
    if (error instanceof EngineError) return false;
    throw error;
  }
}

/**
 * One sheet of the drawing of a revision, from the figures that the revision keeps.
 *
 * @throws {DomainError} `not-found` when the drawing has no such sheet
 */
export function drawRevision(
  revision: DesignRevision,
  recipe: TankKind['recipe'],
  sheetNumber: number,
): DrawingFile {
  const { input, designCode, revisionNumber } = revision;
  const sheets = tankDrawing({
    design: input,
    check: revision.result as unknown as TankCheck,
    title: {
      designCode,
      designName: revision.designName,
      revision: String(revisionNumber),
      approval: approvalOf(revision),
      engineVersion: revision.engineVersion,
    },
    recipe: recipe as DrawingRecipe,
    remarks: isAsTakenOff(revision, recipe) ? [] : [RECIPE_CHANGED],
  });
  const sheet = sheets[sheetNumber - 1];
  if (!sheet) throw notFound('sheet of the drawing', String(sheetNumber));
  return {
    svg: sheet.svg,
    fileName: `${designCode}-revision-${revisionNumber}-sheet-${sheetNumber}.svg`,
  };
}
