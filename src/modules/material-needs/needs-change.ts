import type { NeedsChange, NeedsChangeRequest } from '../../../shared/contract/material-needs.ts';
import { addDays } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';
import { invalidContent } from '../../domain/errors.ts';
import { labelsOf } from './labels-repository.ts';
import type { NetNeed } from './net-needs.ts';
import type { MaterialNeeds } from './use-cases.ts';

const MAX_SHOWN = 2_000;

interface MovableBuild {
  readonly id: string;
  readonly code: string;
  readonly started_on: string | null;
}

const BUILDS_SQL = `
  select id, code, started_on from build
  where organisation_id = $1 and programme_id = $2 and id = any($3) and cancelled_on is null`;

/** What moving the starts of builds would do to the needs; nothing is written. */
export async function needsChange(
  tx: Tx,
  needs: MaterialNeeds,
  programmeId: string,
  { moves, ...request }: NeedsChangeRequest,
): Promise<NeedsChange> {
  await requireMovable(tx, programmeId, moves);
  const before = await needs.season(tx, { programmeId, ...request });
  const after = await needs.season(tx, { programmeId, ...request, moves });
  const keyOf = ({ materialId, villageId, period }: NetNeed) =>
    `${materialId} ${villageId} ${period}`;
  const then = new Map(before.needs.map((need) => [keyOf(need), need]));
  const now = new Map(after.needs.map((need) => [keyOf(need), need]));
  const labels = await labelsOf(tx, [...before.needs, ...after.needs]);
  const { startsOn, periodDays } = before.horizon;
  const changed = [...new Set([...then.keys(), ...now.keys()])].flatMap((key) => {
    const was = then.get(key);
    const is = now.get(key);
    const need = (is ?? was) as NetNeed;
    if (was?.quantity === is?.quantity && was?.netQuantity === is?.netQuantity) return [];
    return [
      {
        materialId: need.materialId,
        materialCode: labels.materials.get(need.materialId)?.code ?? '',
        unitCode: need.unitCode as NeedsChange['items'][number]['unitCode'],
        villageId: need.villageId,
        villageCode: labels.villages.get(need.villageId)?.code ?? '',
        period: need.period,
        periodStartsOn: addDays(startsOn, (need.period - 1) * periodDays),
        grossBefore: was?.quantity ?? '0',
        grossAfter: is?.quantity ?? '0',
        netBefore: was?.netQuantity ?? '0',
        netAfter: is?.netQuantity ?? '0',
      },
    ];
  });
  changed.sort(
    (a, b) =>
      compareText(a.materialCode, b.materialCode) ||
      compareText(a.villageCode, b.villageCode) ||
      a.period - b.period,
  );
  return { items: changed.slice(0, MAX_SHOWN), isCut: changed.length > MAX_SHOWN };
}

async function requireMovable(
  tx: Tx,
  programmeId: string,
  moves: NeedsChangeRequest['moves'],
): Promise<void> {
  const rows = await tx.sql<MovableBuild>(BUILDS_SQL, [
    tx.organisationId,
    programmeId,
    moves.map(({ buildId }) => buildId),
  ]);
  const byId = new Map(rows.map((row) => [row.id, row]));
  const faults = moves.flatMap(({ buildId }, index) => {
    const build = byId.get(buildId);
    const pointer = `/moves/${index}/buildId`;
    if (!build) {
      return [
        {
          pointer,
          code: 'reference.unknown',
          message: 'is not a live build of this programme',
          rejectedValue: buildId,
        },
      ];
    }
    if (build.started_on === null) return [];
    return [
      {
        pointer,
        code: 'build.started',
        message: `${build.code} began on ${build.started_on} and cannot start on another day`,
        rejectedValue: buildId,
      },
    ];
  });
  if (faults.length > 0) throw invalidContent(faults);
}

const compareText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
