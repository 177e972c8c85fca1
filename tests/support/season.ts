import { randomUUID } from 'node:crypto';
import type { TankDesignInput } from '../../shared/design/tank-design-input.ts';
import { BAMBOO_BAND_MORTAR_MATERIALS } from '../../shared/takeoff/materials.ts';
import { ensureBambooBandMortarKind } from '../../src/modules/tank-kinds/ensure-kind.ts';
import type { TestPerson, TestService } from './service.ts';

/** One tank that passes its checks: about 5,100 litres unless another size is asked for. */
export const tankInput = (
  insideDiameterM = 1.9,
  waterDepthM = 1.8,
  bandCount = 8,
): TankDesignInput => ({
  insideDiameterM,
  waterDepthM,
  wallThicknessM: 0.055,
  bands: {
    widthMm: 25,
    thicknessMm: 2,
    yieldStrengthMPa: 250,
    jointEfficiencyRatio: 0.7,
    spacing: 'equal-load',
    count: bandCount,
  },
  dome: { riseM: insideDiameterM / 4, thicknessM: 0.05, gridSpacingM: 0.15 },
  slab: { diameterM: insideDiameterM + 0.4, thicknessM: 0.12 },
  soilClass: 'stiff-clay',
});

export interface Season {
  readonly coordinator: TestPerson;
  readonly engineer: TestPerson;
  readonly programmeId: string;
  readonly tankKindId: string;
  readonly villageIds: readonly string[];
  readonly stationId: string;
}

const shortCode = () => randomUUID().slice(0, 8);

/** A programme in EUR with two villages under one rain station, a coordinator and an engineer. */
export async function makeSeason(service: TestService, currency = 'EUR'): Promise<Season> {
  const coordinator = await service.person(['coordinator']);
  const engineer = await service.person(['engineer'], coordinator.organisationId);
  const org = coordinator.organisationId;
  const programmeId = randomUUID();
  const stationId = randomUUID();
  const villageIds = [randomUUID(), randomUUID()];
  const tankKindId = await service.as(coordinator, async (tx) => {
    await tx.sql(
      `insert into programme (organisation_id, id, code, name, starts_on, ends_on, currency,
         target_reliability_ratio, litres_per_person_per_day, gutter_efficiency_ratio, first_flush_mm)
       values ($1, $2, $3, 'Season', '2026-01-01', '2027-12-31', $4, 0.8, 10, 0.9, 1)`,
      [org, programmeId, `S-${shortCode()}`, currency],
    );
    await tx.sql(
      `insert into rain_station (organisation_id, id, code, name, source) values ($1, $2, $3, 'Station', 'Test')`,
      [org, stationId, `R-${shortCode()}`],
    );
    for (const villageId of villageIds) {
      await tx.sql(
        `insert into village (organisation_id, id, code, name, district, rain_station_id)
         values ($1, $2, $3, 'Village', 'District', $4)`,
        [org, villageId, `V-${shortCode()}`, stationId],
      );
    }
    return (await ensureBambooBandMortarKind(tx)).id;
  });
  return { coordinator, engineer, programmeId, tankKindId, villageIds, stationId };
}

/** A design with one revision, approved by the engineer unless told otherwise. */
export async function makeRevision(
  service: TestService,
  { coordinator, engineer, tankKindId }: Season,
  input: TankDesignInput = tankInput(),
  { approve = true }: { approve?: boolean } = {},
): Promise<string> {
  const design = await service.http
    .post('/v1/tank-designs')
    .set(coordinator.auth)
    .send({ code: `T-${shortCode()}`, name: 'Tank', tankKindId })
    .expect(201);
  const revision = await service.http
    .post(`/v1/tank-designs/${design.body.id}/revisions`)
    .set(coordinator.auth)
    .send({ input })
    .expect(201);
  if (approve) {
    await service.http
      .post(`/v1/design-revisions/${revision.body.id}/decisions`)
      .set(engineer.auth)
      .send({ decision: 'approved' })
      .expect(201);
  }
  return revision.body.id;
}

export async function setStandardDesigns(
  service: TestService,
  { coordinator, programmeId }: Season,
  designRevisionIds: readonly string[],
): Promise<void> {
  await service.http
    .put(`/v1/programmes/${programmeId}/standard-designs`)
    .set(coordinator.auth)
    .send({ designRevisionIds })
    .expect(200);
}

/** Daily rain of the station from 1 January of a year; null is a day without a reading. */
export async function makeRain(
  service: TestService,
  { coordinator, stationId }: Season,
  startsOn: string,
  dailyRainMm: readonly (number | null)[],
): Promise<string> {
  const seriesId = randomUUID();
  const missing = dailyRainMm.filter((rainMm) => rainMm === null).length;
  await service.as(coordinator, (tx) =>
    tx.sql(
      `insert into rain_series (organisation_id, id, station_id, starts_on, ends_on, daily_rain_mm,
         missing_day_count, missing_days_declared, source, created_at)
       values ($1, $2, $3, $4, $4::date + $5::integer - 1, $6, $7, true, 'Test', clock_timestamp())`,
      [
        coordinator.organisationId,
        seriesId,
        stationId,
        startsOn,
        dailyRainMm.length,
        dailyRainMm,
        missing,
      ],
    ),
  );
  return seriesId;
}

export interface SiteFacts {
  readonly code?: string;
  readonly villageId?: string;
  readonly roofAreaM2?: number;
  readonly roofKind?: string;
  readonly runoffCoefficient?: number | null;
  readonly peopleServed?: number;
  readonly litresPerPersonPerDay?: number | null;
  readonly demandLPerDay?: number | null;
  readonly groundClass?: string | null;
}

/** Sites on stiff clay, roofs of 40 m² of metal, five people each, unless told otherwise. */
export async function makeSites(
  service: TestService,
  { coordinator, programmeId, villageIds }: Season,
  sites: readonly SiteFacts[],
): Promise<string[]> {
  const rows = sites.map((facts) => ({
    code: `H-${shortCode()}`,
    villageId: villageIds[0],
    roofAreaM2: 40,
    roofKind: 'metal-sheet',
    peopleServed: 5,
    groundClass: 'stiff-clay',
    ...facts,
    id: randomUUID(),
  }));
  await service.as(coordinator, (tx) =>
    tx.sql(
      `insert into site (organisation_id, id, programme_id, village_id, code, kind, roof_area_m2, roof_kind,
         runoff_coefficient, people_served, litres_per_person_per_day, demand_l_per_day, ground_class)
       select $1, id, $2, "villageId", code, 'household', "roofAreaM2", "roofKind", "runoffCoefficient",
         "peopleServed", "litresPerPersonPerDay", "demandLPerDay", "groundClass"
       from jsonb_to_recordset($3) as s (id uuid, "villageId" uuid, code text, "roofAreaM2" float8,
         "roofKind" text, "runoffCoefficient" float8, "peopleServed" integer,
         "litresPerPersonPerDay" float8, "demandLPerDay" float8, "groundClass" text)`,
      [coordinator.organisationId, programmeId, JSON.stringify(rows)],
    ),
  );
  return rows.map(({ id }) => id);
}

/** Every material of the kind, with bands of the two sizes that the tests use. */
export const CATALOGUE = BAMBOO_BAND_MORTAR_MATERIALS.flatMap(({ materialCode, unitCode }) =>
  materialCode === 'steel-band'
    ? ['25x2', '30x2'].map((size) => ({ code: `steel-band-${size}`, unitCode }))
    : [{ code: materialCode, unitCode }],
);

export interface OfferFacts {
  readonly packContent?: string;
  readonly pricePerPack?: string;
  readonly currency?: string;
  readonly minimumPacks?: number;
  readonly validFrom?: string;
  readonly validUntil?: string;
  readonly withdrawnOn?: string | null;
}

/** The whole catalogue of materials; answers their ids by code. */
export async function makeCatalogue(
  service: TestService,
  { coordinator }: Season,
): Promise<ReadonlyMap<string, string>> {
  const rows = CATALOGUE.map((material) => ({ ...material, id: randomUUID() }));
  await service.as(coordinator, (tx) =>
    tx.sql(
      `insert into material (organisation_id, id, code, name, category, unit_code)
       select $1, id, code, code, case when code like 'labour-%' then 'labour' else 'other' end, "unitCode"
       from jsonb_to_recordset($2) as m (id uuid, code text, "unitCode" text)`,
      [coordinator.organisationId, JSON.stringify(rows)],
    ),
  );
  return new Map(rows.map(({ code, id }) => [code, id]));
}

/** Offers of one new supplier, in EUR for the whole of 2026 and 2027 unless told otherwise. */
export async function makeOffers(
  service: TestService,
  { coordinator }: Season,
  offers: readonly (OfferFacts & { readonly materialId: string })[],
): Promise<string[]> {
  const org = coordinator.organisationId;
  const supplierId = randomUUID();
  const rows = offers.map((facts) => ({
    packContent: '1',
    pricePerPack: '1.00',
    currency: 'EUR',
    minimumPacks: 1,
    validFrom: '2026-01-01',
    validUntil: '2027-12-31',
    withdrawnOn: null,
    ...facts,
    id: randomUUID(),
  }));
  await service.as(coordinator, async (tx) => {
    await tx.sql(
      `insert into supplier (organisation_id, id, code, name, place) values ($1, $2, $3, 'Supplier', 'Town')`,
      [org, supplierId, `U-${shortCode()}`],
    );
    await tx.sql(
      `insert into offer (organisation_id, id, supplier_id, material_id, pack_code, pack_content, price_per_pack,
         currency, minimum_packs, lead_days, valid_from, valid_until, withdrawn_on)
       select $1, id, $2, "materialId", 'XPK', "packContent", "pricePerPack", currency, "minimumPacks", 3,
         "validFrom", "validUntil", "withdrawnOn"
       from jsonb_to_recordset($3) as o (id uuid, "materialId" uuid, "packContent" numeric,
         "pricePerPack" numeric, currency text, "minimumPacks" integer, "validFrom" date, "validUntil" date,
         "withdrawnOn" date)`,
      [org, supplierId, JSON.stringify(rows)],
    );
  });
  return rows.map(({ id }) => id);
}

/** Grants of the programme, all of one new donor. */
export async function makeGrants(
  service: TestService,
  { coordinator, programmeId }: Season,
  count: number,
): Promise<string[]> {
  const org = coordinator.organisationId;
  const donorId = randomUUID();
  const ids = Array.from({ length: count }, () => randomUUID());
  await service.as(coordinator, async (tx) => {
    await tx.sql(
      `insert into donor (organisation_id, id, code, name) values ($1, $2, $3, 'Donor')`,
      [org, donorId, `N-${shortCode()}`],
    );
    await tx.sql(
      `insert into grant_agreement (organisation_id, id, programme_id, donor_id, code, title, currency, amount,
         starts_on, ends_on, rate_policy)
       select $1, id, $2, $3, 'G-' || left(id::text, 8), 'Grant', 'EUR', 1000000, '2026-01-01', '2027-12-31', 'fixed'
       from unnest($4::uuid[]) as g (id)`,
      [org, programmeId, donorId, ids],
    );
  });
  return ids;
}
