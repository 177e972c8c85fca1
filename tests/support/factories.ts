import { randomUUID } from 'node:crypto';
import { BAMBOO_BAND_MORTAR_STAGES } from '../../shared/scheduling/bamboo-band-mortar-stages.ts';
import type { TestPerson, TestService } from './service.ts';

export interface Places {
  readonly programmeId: string;
  readonly villageId: string;
}

export interface MadeBuild extends Places {
  readonly buildId: string;
  readonly siteId: string;
  readonly designRevisionId: string;
  readonly tankKindId: string;
}

const shortCode = () => randomUUID().slice(0, 8);

/** A programme in EUR for 2026/27 and a village, written straight into the tables. */
export async function makePlaces(service: TestService, person: TestPerson): Promise<Places> {
  const programmeId = randomUUID();
  const villageId = randomUUID();
  await service.as(person, async (tx) => {
    await tx.sql(
      `insert into programme (organisation_id, id, code, name, starts_on, ends_on, currency,
         target_reliability_ratio, litres_per_person_per_day)
       values ($1, $2, $3, 'Season', '2026-01-01', '2027-12-31', 'EUR', 0.8, 20)`,
      [person.organisationId, programmeId, `S-${shortCode()}`],
    );
    await tx.sql(
      `insert into village (organisation_id, id, code, name, district) values ($1, $2, $3, 'Village', 'District')`,
      [person.organisationId, villageId, `V-${shortCode()}`],
    );
  });
  return { programmeId, villageId };
}

/** A build on an approved design, each of its stages costing 100.00 EUR. */
export async function makeBuild(
  service: TestService,
  person: TestPerson,
  places?: Places,
): Promise<MadeBuild> {
  const at = places ?? (await makePlaces(service, person));
  const [siteId, tankKindId, designId, designRevisionId, buildId, materialId] = Array.from(
    { length: 6 },
    () => randomUUID(),
  ) as [string, string, string, string, string, string];
  const org = person.organisationId;
  await service.as(person, async (tx) => {
    await tx.sql(
      `insert into site (organisation_id, id, programme_id, village_id, code, kind, roof_area_m2, roof_kind, people_served)
       values ($1, $2, $3, $4, $5, 'household', 40, 'metal-sheet', 6)`,
      [org, siteId, at.programmeId, at.villageId, `H-${shortCode()}`],
    );
    await tx.sql(
      `insert into tank_kind (organisation_id, id, code, name, recipe, stages) values ($1, $2, $3, 'Kind', '{}', $4)`,
      [org, tankKindId, `K-${shortCode()}`, JSON.stringify(BAMBOO_BAND_MORTAR_STAGES)],
    );
    await tx.sql(
      `insert into tank_design (organisation_id, id, tank_kind_id, code, name) values ($1, $2, $3, $4, 'Design')`,
      [org, designId, tankKindId, `D-${shortCode()}`],
    );
    await tx.sql(
      `insert into design_revision (organisation_id, id, design_id, revision_number, engine_version, input, result,
         take_off, outcome, capacity_l, created_by_id)
       values ($1, $2, $3, 1, 'test', '{"waterDepthM":1.8}', '{}', '[]', 'pass', 5000, $4)`,
      [org, designRevisionId, designId, person.personId],
    );
    await tx.sql(
      `insert into design_decision (organisation_id, id, design_revision_id, decision, engineer_id, engineer_name, registration_number)
       values ($1, $2, $3, 'approved', $4, 'Test Engineer', 'REG-0001')`,
      [org, randomUUID(), designRevisionId, person.personId],
    );
    await tx.sql(
      `insert into build (organisation_id, id, programme_id, site_id, village_id, design_revision_id, tank_kind_id, code, priced_on)
       values ($1, $2, $3, $4, $5, $6, $7, $8, '2026-10-01')`,
      [
        org,
        buildId,
        at.programmeId,
        siteId,
        at.villageId,
        designRevisionId,
        tankKindId,
        `B-${shortCode()}`,
      ],
    );
    await tx.sql(
      `insert into material (organisation_id, id, code, name, category, unit_code)
       values ($1, $2, $3, 'Cement', 'binder', 'KGM')`,
      [org, materialId, `cement-${shortCode()}`],
    );
    await tx.sql(
      `insert into bill_line (organisation_id, build_id, line_code, position, stage_code, part, material_id, unit_code,
         net_quantity, waste_ratio, with_waste_quantity, unit_rate, currency, amount)
       select $1, $2, code, position, code, 'wall', $3, 'KGM', 100, 0, 100, 1, 'EUR', 100
       from unnest($4::text[]) with ordinality as stage(code, position)`,
      [org, buildId, materialId, BAMBOO_BAND_MORTAR_STAGES.map((stage) => stage.code)],
    );
  });
  return { ...at, buildId, siteId, designRevisionId, tankKindId };
}

export interface MadeGrant {
  readonly donorId: string;
  readonly grantId: string;
  readonly budgetLineId: string;
}

/** A donor's grant of 100,000 EUR with one budget line MAT of 60,000, on a programme. */
export async function makeGrant(
  service: TestService,
  person: TestPerson,
  programmeId: string,
  { currency = 'EUR', ratePolicy = 'transaction-date' } = {},
): Promise<MadeGrant> {
  const made = { donorId: randomUUID(), grantId: randomUUID(), budgetLineId: randomUUID() };
  const org = person.organisationId;
  await service.as(person, async (tx) => {
    await tx.sql(
      `insert into donor (organisation_id, id, code, name) values ($1, $2, $3, 'Donor')`,
      [org, made.donorId, `DN-${shortCode()}`],
    );
    await tx.sql(
      `insert into grant_agreement (organisation_id, id, programme_id, donor_id, code, title, currency, amount,
         starts_on, ends_on, rate_policy)
       values ($1, $2, $3, $4, $5, 'Grant', $6, 100000, '2026-01-01', '2027-12-31', $7)`,
      [org, made.grantId, programmeId, made.donorId, `G-${shortCode()}`, currency, ratePolicy],
    );
    await tx.sql(
      `insert into budget_line (organisation_id, id, grant_id, code, title, amount) values ($1, $2, $3, 'MAT', 'Materials', 60000)`,
      [org, made.budgetLineId, made.grantId],
    );
  });
  return made;
}

/** Says which grants pay for a build; the shares must add up to 1. */
export async function shareBuild(
  service: TestService,
  person: TestPerson,
  buildId: string,
  shares: Readonly<Record<string, string>>,
) {
  await service.as(person, async (tx) => {
    for (const [grantId, shareRatio] of Object.entries(shares)) {
      await tx.sql(
        `insert into build_grant_share (organisation_id, build_id, grant_id, share_ratio) values ($1, $2, $3, $4)`,
        [person.organisationId, buildId, grantId, shareRatio],
      );
    }
  });
}
