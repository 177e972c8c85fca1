import { randomUUID } from 'node:crypto';
import type { MadeBuild } from './factories.ts';
import type { TestPerson, TestService } from './service.ts';

export interface BillEntry {
  readonly materialId: string;
  readonly quantity: string;
  readonly unitCode?: string;
  readonly isInKind?: boolean;
  /** Of the tank kind's stages; one that no kind has when left out. */
  readonly stageCode?: string;
}

/**
 * Another build on the design of one that exists, in a village, with a bill of just these lines;
 * written straight into the tables. Returns its id.
 */
export async function makeBuildWithBill(
  service: TestService,
  person: TestPerson,
  like: MadeBuild,
  villageId: string,
  bill: readonly BillEntry[],
): Promise<string> {
  const [buildId, siteId] = [randomUUID(), randomUUID()];
  const org = person.organisationId;
  await service.as(person, async (tx) => {
    await tx.sql(
      `insert into site (organisation_id, id, programme_id, village_id, code, kind, roof_area_m2, roof_kind, people_served)
       values ($1, $2, $3, $4, $5, 'household', 40, 'metal-sheet', 6)`,
      [org, siteId, like.programmeId, villageId, `H-${siteId.slice(0, 8)}`],
    );
    await tx.sql(
      `insert into build (organisation_id, id, programme_id, site_id, village_id, design_revision_id, tank_kind_id, code, priced_on)
       values ($1, $2, $3, $4, $5, $6, $7, $8, '2026-10-01')`,
      [
        org,
        buildId,
        like.programmeId,
        siteId,
        villageId,
        like.designRevisionId,
        like.tankKindId,
        `B-${buildId.slice(0, 8)}`,
      ],
    );
    for (const [index, line] of bill.entries()) {
      await tx.sql(
        `insert into bill_line (organisation_id, build_id, line_code, position, stage_code, part, material_id, unit_code,
           net_quantity, waste_ratio, with_waste_quantity, unit_rate, currency, amount, is_in_kind)
         values ($1, $2, $3, $4, $9, 'wall', $5, $6, $7, 0, $7, 1, 'EUR', 0, $8)`,
        [
          org,
          buildId,
          `line-${index}`,
          index,
          line.materialId,
          line.unitCode ?? 'KGM',
          line.quantity,
          line.isInKind ?? false,
          line.stageCode ?? 'frame',
        ],
      );
    }
  });
  return buildId;
}

/** Empties the bill of a build that was made with one. */
export const clearBill = (service: TestService, person: TestPerson, buildId: string) =>
  service.as(person, (tx) => tx.sql('delete from bill_line where build_id = $1', [buildId]));
