import { v7 as uuidv7 } from 'uuid';
import {
  type ActionClosure,
  type CorrectiveAction,
  type Inspection,
  type NewInspection,
  SANITARY_RISKS,
} from '../../../shared/contract/inspection.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import {
  type ActionFilter,
  actionsOf,
  closeAction,
  findAction,
  findBuild,
  findInspection,
  findingsOf,
  type InspectionFilter,
  type InspectionRow,
  insertAction,
  insertFinding,
  insertInspection,
  listActions,
  listInspections,
} from './repository.ts';

/** Kinds of visit that only make sense once the tank was handed over. */
const AFTER_HANDOVER: ReadonlySet<NewInspection['kind']> = new Set([
  'after-building',
  'defects-visit',
  'yearly',
]);

const DANGER_CAUTION =
  'A danger was found: keep people away from the wall, draw the water down to one third in a controlled way and call a licensed engineer.';
const WATER_CAUTION =
  'This visit does not say that the water is fit to drink; only the health authority can. Look in from outside: never enter a tank alone, nor with an engine running at the hatch.';

export interface Inspections {
  record(tx: Tx, buildId: string, input: NewInspection): Promise<Inspection>;
  get(tx: Tx, id: string): Promise<Inspection>;
  complete(tx: Tx, rows: readonly InspectionRow[]): Promise<Inspection[]>;
  closeAction(tx: Tx, id: string, closure: ActionClosure): Promise<CorrectiveAction>;
}

/** Rows of the two lists, up to `limit + 1`, so that the caller sees whether there are more. */
export interface InspectionLists {
  list(
    tx: Tx,
    filter: InspectionFilter,
    after: readonly string[] | null,
    limit: number,
  ): Promise<InspectionRow[]>;
  listActions(
    tx: Tx,
    filter: ActionFilter,
    after: readonly string[] | null,
    limit: number,
  ): Promise<CorrectiveAction[]>;
}

export function createInspections(clock: Clock): Inspections & InspectionLists {
  async function get(tx: Tx, id: string): Promise<Inspection> {
    const row = await findInspection(tx, id);
    if (!row) throw notFound('inspection', id);
    const [found] = await complete(tx, [row]);
    if (!found) throw notFound('inspection', id);
    return found;
  }

  return {
    get,
    complete,
    list: listInspections,
    listActions,

    async record(tx, buildId, input) {
      const build = await findBuild(tx, buildId);
      if (!build) throw notFound('build', buildId);
      refuseFutureDate(clock, '/inspectedOn', input.inspectedOn);
      const handedOverOn = build.handed_over_on;
      if (
        AFTER_HANDOVER.has(input.kind) &&
        (handedOverOn === null || input.inspectedOn < handedOverOn)
      ) {
        throw ruleBroken(
          'build-not-complete',
          handedOverOn === null
            ? 'The tank has not been handed over yet; record a visit of kind event, or a stage check.'
            : `The tank was handed over on ${handedOverOn}, after the day of this visit.`,
        );
      }
      const id = input.id ?? uuidv7();
      const earlier = input.id === undefined ? null : await findInspection(tx, id);
      if (earlier) return sameOrConflict(await get(tx, id), buildId, input);
      await insertInspection(tx, [
        id,
        buildId,
        input.kind,
        input.inspectedOn,
        tx.actor.personId,
        input.condition,
        input.waterDepthM,
        JSON.stringify(input.sanitaryAnswers),
        input.note,
      ]);
      for (const finding of input.findings) await recordFinding(tx, id, finding, input.inspectedOn);
      await tx.audit('create', 'inspection', id, { buildId, kind: input.kind });
      return get(tx, id);
    },

    async closeAction(tx, id, { closedOn, closingNote }) {
      const action = await findAction(tx, id);
      if (!action) throw notFound('corrective action', id);
      refuseFutureDate(clock, '/closedOn', closedOn);
      if (action.closedOn !== null) {
        throw ruleBroken('action-closed', `The action was closed on ${action.closedOn}.`);
      }
      await closeAction(tx, id, closedOn, closingNote);
      await tx.audit('close', 'corrective-action', id, { closedOn });
      return (await findAction(tx, id)) as CorrectiveAction;
    },
  };
}

async function recordFinding(
  tx: Tx,
  inspectionId: string,
  finding: NewInspection['findings'][number],
  inspectedOn: string,
) {
  const findingId = finding.id ?? uuidv7();
  await insertFinding(tx, [
    findingId,
    inspectionId,
    finding.part,
    finding.severity,
    finding.description,
    finding.measuredValue ?? null,
    finding.measuredUnit ?? null,
  ]);
  for (const action of finding.actions) {
    if (action.dueOn < inspectedOn) {
      throw invalidContent([
        {
          pointer: '/findings/actions/dueOn',
          code: 'date.before-visit',
          message: `must not be before the visit on ${inspectedOn}`,
          rejectedValue: action.dueOn,
        },
      ]);
    }
    await insertAction(tx, [
      action.id ?? uuidv7(),
      findingId,
      action.description,
      action.dueOn,
      action.assignedToId ?? null,
    ]);
  }
}

async function complete(tx: Tx, rows: readonly InspectionRow[]): Promise<Inspection[]> {
  const ids = rows.map(({ id }) => id);
  const findings = await findingsOf(tx, ids);
  const actions = await actionsOf(tx, ids);
  return rows.map((row) => {
    const own = findings
      .filter(({ inspectionId }) => inspectionId === row.id)
      .map(({ inspectionId: _, ...finding }) => ({
        ...finding,
        actions: actions.filter(({ findingId }) => findingId === finding.id),
      }));
    const answers = Object.values(row.sanitaryAnswers);
    const isDangerous = own.some(({ severity }) => severity === 'danger');
    return {
      ...row,
      findings: own,
      sanitaryRisks: {
        riskCount: answers.filter(Boolean).length,
        unansweredCount: Object.keys(SANITARY_RISKS).length - answers.length,
      },
      cautions: isDangerous ? [DANGER_CAUTION, WATER_CAUTION] : [WATER_CAUTION],
    };
  });
}

/** A visit sent twice counts once; the same id with other content is a clash. */
function sameOrConflict(earlier: Inspection, buildId: string, input: NewInspection): Inspection {
  const isSame =
    earlier.buildId === buildId &&
    earlier.kind === input.kind &&
    earlier.inspectedOn === input.inspectedOn &&
    earlier.condition === input.condition &&
    earlier.note === input.note &&
    earlier.findings.length === input.findings.length;
  if (isSame) return earlier;
  throw new DomainError('conflict', { detail: `Inspection ${earlier.id} says something else.` });
}
