import { isDeepStrictEqual } from 'node:util';
import type { NewStageRecord, StageRecord } from '../../../shared/contract/stage-record.ts';
import type { Tx } from '../../db/database.ts';
import type { FieldError } from '../../domain/errors.ts';
import { contentOf, type RecordContent } from './facts.ts';

type Sent = Omit<NewStageRecord, 'id'>;

const CREWS_SQL = 'select id from crew where organisation_id = $1 and id = any($2::uuid[])';
const MATERIALS_SQL = `
  select id, unit_code as "unitCode" from material where organisation_id = $1 and id = any($2::uuid[])`;

/** The crews and materials that records name and that there are. */
export interface KnownThings {
  readonly crewIds: ReadonlySet<string>;
  readonly unitByMaterialId: ReadonlyMap<string, string>;
}

export async function knownThings(tx: Tx, records: readonly Sent[]): Promise<KnownThings> {
  const crewIds = records.flatMap(({ crewId }) => crewId ?? []);
  const materialIds = records.flatMap(({ quantities }) =>
    (quantities ?? []).map(({ materialId }) => materialId),
  );
  const crews =
    crewIds.length === 0
      ? []
      : await tx.sql<{ id: string }>(CREWS_SQL, [tx.organisationId, crewIds]);
  const materials =
    materialIds.length === 0
      ? []
      : await tx.sql<{ id: string; unitCode: string }>(MATERIALS_SQL, [
          tx.organisationId,
          materialIds,
        ]);
  return {
    crewIds: new Set(crews.map(({ id }) => id)),
    unitByMaterialId: new Map(materials.map(({ id, unitCode }) => [id, unitCode])),
  };
}

/** What is wrong with the things that a record names. */
export function contentFaults(record: Sent, known: KnownThings): FieldError[] {
  const faults: FieldError[] = [];
  const { crewId, quantities = [] } = record;
  if (crewId !== undefined && !known.crewIds.has(crewId)) {
    faults.push({
      pointer: '/crewId',
      code: 'reference.unknown',
      message: 'is no crew',
      rejectedValue: crewId,
    });
  }
  quantities.forEach(({ materialId, unitCode }, index) => {
    const pointer = `/quantities/${index}`;
    const unit = known.unitByMaterialId.get(materialId);
    if (unit === undefined) {
      faults.push({
        pointer: `${pointer}/materialId`,
        code: 'reference.unknown',
        message: 'is no material',
        rejectedValue: materialId,
      });
    } else if (unit !== unitCode) {
      faults.push({
        pointer: `${pointer}/unitCode`,
        code: 'unit.of-material',
        message: `must be ${unit}, the unit of the material`,
        rejectedValue: unitCode,
      });
    }
  });
  return faults;
}

/** Whether a record that is there says what is sent under its id. */
export function isSameRecord(earlier: StageRecord, buildId: string, sent: Sent): boolean {
  const comparable = (content: RecordContent) => ({
    ...content,
    personHours: content.personHours === null ? null : Number(content.personHours),
    deviceRecordedAt:
      content.deviceRecordedAt === null ? null : Date.parse(content.deviceRecordedAt),
  });
  const { buildId: storedBuildId, recordedById, recordedAt, note, ...stored } = earlier;
  return (
    storedBuildId === buildId &&
    isDeepStrictEqual(comparable(contentOf(earlier.id, sent)), comparable(stored))
  );
}
