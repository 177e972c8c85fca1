import { randomUUID } from 'node:crypto';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { StageTemplate } from '../../shared/scheduling/stage-template.ts';
import { type OpenService, openService } from '../boot.ts';
import { readConfig } from '../config.ts';
import { type Database, openDatabase } from '../db/database.ts';
import type { Actor } from '../domain/identity.ts';
import { permissionsOf, ROLES } from '../domain/permissions.ts';
import { hashCredential, TOKEN_PREFIX } from '../http/authenticate.ts';

export const LINES_PER_BUILD = 30;

/** Days over which the planned starts of a programme's builds are spread evenly. */
const STARTS_WITHIN_DAYS = 180;
/** The stages that the bill lines name: a working day each, one after the other. */
const STAGES: StageTemplate = Array.from({ length: 18 }, (_, place) => ({
  code: `stage-${place}`,
  title: `Stage ${place}`,
  workDays: 1,
  crewSize: 4,
  minimumWaitDays: 0,
  after: place === 0 ? [] : [`stage-${place - 1}`],
  holdPoint: 'none',
  releasedBy: null,
  needs: [],
  checks: [],
  cautions: [],
}));

export interface Season {
  readonly db: Database;
  readonly appUrl: string;
  readonly actor: Actor;
  readonly token: string;
  /** Adds a programme with that many dated builds of 30 bill lines each and one grant for all. */
  addProgramme(buildCount: number): Promise<BenchProgramme>;
  close(): Promise<void>;
}

export interface BenchProgramme {
  readonly programmeId: string;
  readonly grantId: string;
  readonly buildCount: number;
}

/** A database of its own, embedded and durable as in daily use, in a folder that goes away again. */
export async function openSeasonDatabase(): Promise<Season> {
  const dataDir = await mkdtemp(join(tmpdir(), 'hoopwright-bench-'));
  const service = await openService(readConfig({ DATA_DIR: dataDir, DATABASE_POOL_SIZE: '16' }));
  const { actor, token } = await foundOrganisation(service);
  return {
    db: service.db,
    appUrl: service.appUrl,
    actor,
    token,
    addProgramme: (buildCount) => addProgramme(service.db, actor, buildCount),
    async close() {
      await service.close();
      await rm(dataDir, { recursive: true, force: true });
    },
  };
}

async function foundOrganisation({ db }: OpenService) {
  const [organisationId, personId, accountId] = [randomUUID(), randomUUID(), randomUUID()];
  const token = TOKEN_PREFIX + 'b'.repeat(43);
  const actor: Actor = {
    organisationId,
    personId,
    accountId,
    credentialId: null,
    name: 'Bench',
    roles: ROLES,
    permissions: permissionsOf(ROLES),
    donorId: null,
    cursorKey: 'bench',
    requestId: null,
  };
  await db.withTenant(actor, async (tx) => {
    await tx.sql(`insert into organisation (id, name) values ($1, 'Bench')`, [organisationId]);
    await tx.sql(`insert into account (id, email) values ($1, 'bench@example.org')`, [accountId]);
    await tx.sql(
      `insert into person (organisation_id, id, account_id, name, email, roles, engineer_registration_number)
       values ($1, $2, $3, 'Bench', 'bench@example.org', $4, 'REG-1')`,
      [organisationId, personId, accountId, ROLES.filter((role) => role !== 'donor')],
    );
    await tx.sql(
      `insert into api_token (organisation_id, id, token_hash, account_id, person_id, name, ending)
       values ($1, gen_random_uuid(), $2, $3, $4, 'bench', 'bbbb')`,
      [organisationId, hashCredential(token), accountId, personId],
    );
  });
  return { actor, token };
}

async function addProgramme(
  db: Database,
  actor: Actor,
  buildCount: number,
): Promise<BenchProgramme> {
  const programmeId = randomUUID();
  const grantId = randomUUID();
  const label = programmeId.slice(0, 8);
  const names = [actor.organisationId, programmeId, label];
  await db.withTenant(
    actor,
    async (tx) => {
      await tx.sql(PROGRAMME_SQL, names);
      await tx.sql(VILLAGES_SQL, [actor.organisationId, label]);
      await tx.sql(DONOR_SQL, [actor.organisationId, label]);
      await tx.sql(GRANT_SQL, [...names, grantId]);
      await tx.sql(MATERIALS_SQL, [actor.organisationId, label]);
      await tx.sql(KIND_SQL, [actor.organisationId, label, JSON.stringify(STAGES)]);
      await tx.sql(DESIGN_SQL, [actor.organisationId, label]);
      await tx.sql(REVISION_SQL, [actor.organisationId, label, actor.personId]);
      await tx.sql(DECISION_SQL, [actor.organisationId, label, actor.personId]);
      await tx.sql(SITES_SQL, [...names, buildCount]);
      await tx.sql(BUILDS_SQL, [...names, buildCount, STARTS_WITHIN_DAYS]);
      await tx.sql(SHARES_SQL, [actor.organisationId, programmeId, grantId]);
      await tx.sql(LINES_SQL, [...names, LINES_PER_BUILD]);
    },
    { statementTimeoutMs: 300_000 },
  );
  await db.withTenant(actor, (tx) => tx.sql('select 1'));
  return { programmeId, grantId, buildCount };
}

/** A second way into the same database, for the baselines. */
export const openPlainPool = (appUrl: string) =>
  openDatabase({ url: appUrl, maxConnections: 16 }).pool;

const PROGRAMME_SQL = `
  insert into programme (organisation_id, id, code, name, starts_on, ends_on, currency,
    target_reliability_ratio, litres_per_person_per_day)
  values ($1, $2, 'P-' || $3, 'Bench season', '2026-01-01', '2027-12-31', 'EUR', 0.8, 20)`;
const VILLAGES_SQL = `
  insert into village (organisation_id, id, code, name, district)
  select $1, gen_random_uuid(), 'V-' || $2 || '-' || n, 'Village ' || n, 'Bench' from generate_series(1, 40) n`;
const DONOR_SQL = `insert into donor (organisation_id, id, code, name) values ($1, gen_random_uuid(), 'D-' || $2, 'Bench donor')`;
const GRANT_SQL = `
  insert into grant_agreement (organisation_id, id, programme_id, donor_id, code, title, currency, amount, starts_on, ends_on, rate_policy)
  select $1, $4, $2, id, 'G-' || $3, 'Bench grant', 'EUR', 10000000, '2026-01-01', '2027-12-31', 'fixed'
  from donor where organisation_id = $1 and code = 'D-' || $3`;
const MATERIALS_SQL = `
  insert into material (organisation_id, id, code, name, category, unit_code)
  select $1, gen_random_uuid(), 'M-' || $2 || '-' || n, 'Material ' || n, 'other', 'KGM' from generate_series(1, 25) n`;
const KIND_SQL = `insert into tank_kind (organisation_id, id, code, name, recipe, stages) values ($1, gen_random_uuid(), 'K-' || $2, 'Bench kind', '{}', $3)`;
const DESIGN_SQL = `
  insert into tank_design (organisation_id, id, tank_kind_id, code, name)
  select $1, gen_random_uuid(), id, 'T-' || $2, 'Bench tank' from tank_kind where organisation_id = $1 and code = 'K-' || $2`;
const REVISION_SQL = `
  insert into design_revision (organisation_id, id, design_id, revision_number, engine_version, input, result, take_off, outcome, capacity_l, created_by_id)
  select $1, gen_random_uuid(), id, 1, 'bench', '{"waterDepthM":1.8}', '{}', '[]', 'pass', 5000, $3
  from tank_design where organisation_id = $1 and code = 'T-' || $2`;
const DECISION_SQL = `
  insert into design_decision (organisation_id, id, design_revision_id, decision, engineer_id, engineer_name, registration_number)
  select $1, gen_random_uuid(), r.id, 'approved', $3, 'Bench', 'REG-1'
  from design_revision r join tank_design d on d.organisation_id = r.organisation_id and d.id = r.design_id
  where r.organisation_id = $1 and d.code = 'T-' || $2`;
const SITES_SQL = `
  insert into site (organisation_id, id, programme_id, village_id, code, kind, roof_area_m2, roof_kind, people_served, ground_class)
  select $1, gen_random_uuid(), $2, v.ids[1 + n % 40], 'S-' || $3 || '-' || lpad(n::text, 6, '0'), 'household', 30 + n % 60, 'metal-sheet', 3 + n % 8, null
  from generate_series(1, $4::int) n, (select array_agg(id) as ids from village where organisation_id = $1 and code like 'V-' || $3 || '-%') v`;
const BUILDS_SQL = `
  insert into build (organisation_id, id, programme_id, site_id, village_id, design_revision_id, tank_kind_id, code, priced_on, planned_start_on)
  select $1, gen_random_uuid(), $2, s.id, s.village_id, r.id, d.tank_kind_id, replace(s.code, 'S-', 'B-'), '2026-10-01',
    date '2026-01-05' + (right(s.code, 6)::integer - 1) * $5::integer / $4::integer
  from site s, design_revision r join tank_design d on d.organisation_id = r.organisation_id and d.id = r.design_id
  where s.organisation_id = $1 and s.programme_id = $2 and r.organisation_id = $1 and d.code = 'T-' || $3`;
const SHARES_SQL = `
  insert into build_grant_share (organisation_id, build_id, grant_id, share_ratio)
  select organisation_id, id, $3, 1 from build where organisation_id = $1 and programme_id = $2`;
const LINES_SQL = `
  insert into bill_line (organisation_id, build_id, line_code, position, stage_code, part, material_id, unit_code,
    net_quantity, waste_ratio, with_waste_quantity, unit_rate, currency, amount)
  select $1, b.id, 'L' || n, n, 'stage-' || n % 18, (array['wall','dome','slab','fittings'])[1 + n % 4], m.ids[1 + n % 25], 'KGM',
    n * 1.25, 0.05, n * 1.3125, 0.45, 'EUR', round(n * 1.3125 * 0.45, 2)
  from build b, generate_series(1, $4::int) n,
    (select array_agg(id) as ids from material where organisation_id = $1 and code like 'M-' || $3 || '-%') m
  where b.organisation_id = $1 and b.programme_id = $2`;
