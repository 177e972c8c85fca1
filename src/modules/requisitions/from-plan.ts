import { v7 as uuidv7 } from 'uuid';
import type { NewPlanRequisition } from '../../../shared/contract/requisition.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { type FieldError, invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { insertRequisition } from './repository.ts';
import {
  findSupplyPlan,
  listPlanLines,
  lockProgramme,
  type PlanLine,
} from './source-repository.ts';

/**
 * Asks for lines of a supply plan: those named, or all that are to be placed by a day and that nobody
 * asked for yet. A line that was asked for is free again when its requisition is refused or withdrawn.
 *
 * @returns the id of the requisition
 */
export async function requisitionFromPlanLines(
  tx: Tx,
  clock: Clock,
  planId: string,
  input: NewPlanRequisition,
): Promise<string> {
  const plan = await findSupplyPlan(tx, planId);
  if (!plan) throw notFound('supply plan', planId);
  const programme = await lockProgramme(tx, plan.programmeId);
  if (!programme) throw notFound('programme', plan.programmeId);
  const lines = await listPlanLines(tx, planId);
  const { lineIds, placeByUntil = '' } = input;
  const wanted =
    lineIds === undefined
      ? lines.filter(({ placeBy, takenBy }) => placeBy <= placeByUntil && takenBy === null)
      : named(lines, lineIds);
  if (wanted.length === 0) {
    throw ruleBroken(
      'nothing-to-requisition',
      `Supply plan ${plan.code} has no line to be placed by ${placeByUntil} that nobody asked for.`,
    );
  }
  const id = input.id ?? uuidv7();
  await insertRequisition(tx, {
    id,
    programmeId: plan.programmeId,
    supplyPlanId: planId,
    code: `${programme.code}-RQ${programme.count + 1}`,
    reason: input.reason || `Supply plan ${plan.code}`,
    requestedOn: clock.today(),
    lines: wanted.map((line) => ({
      supplyPlanLineId: line.id,
      materialId: line.materialId,
      deliveryVillageId: line.deliveryVillageId,
      offerId: line.offerId,
      needQuantity: line.quantity,
      packCount: line.packCount,
      placeBy: line.placeBy,
      neededBy: line.arrivesOn,
    })),
  });
  await tx.audit('create', 'requisition', id, { ...input, supplyPlanId: planId });
  return id;
}

function named(lines: readonly PlanLine[], lineIds: readonly string[]): PlanLine[] {
  const errors: FieldError[] = [];
  const found: PlanLine[] = [];
  for (const [index, rejectedValue] of lineIds.entries()) {
    const line = lines.find(({ id }) => id === rejectedValue);
    const isTwice = line !== undefined && found.includes(line);
    if (line && !isTwice) found.push(line);
    else {
      errors.push({
        pointer: `/lineIds/${index}`,
        code: isTwice ? 'line.twice' : 'reference.unknown',
        message: isTwice ? 'occurs twice' : 'is not a line of this supply plan',
        rejectedValue,
      });
    }
  }
  if (errors.length > 0) throw invalidContent(errors);
  const taken = found.filter(({ takenBy }) => takenBy !== null);
  if (taken.length === 0) return found;
  const told = taken.map(({ position, takenBy }) => `${position} by ${takenBy}`).join(', ');
  throw ruleBroken(
    'plan-line-requisitioned-once',
    `Lines of the plan were asked for already: ${told}. Withdraw those requisitions first.`,
  );
}
