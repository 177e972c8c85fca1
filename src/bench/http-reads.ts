import type { AddressInfo } from 'node:net';
import autocannon from 'autocannon';
import Fastify from 'fastify';
import pg from 'pg';
import { buildApp } from '../app.ts';
import { wireTypes } from '../db/types.ts';
import { printBenchLine } from './bench-line.ts';
import { median } from './median-time.ts';
import type { BenchProgramme, Season } from './season-database.ts';

const CONNECTIONS = 8;
const SECONDS_A_ROUND = 4;
const ROUNDS = 3;

/** The columns of a build as the service shows them, by the shortest SQL that gives the same bytes. */
const BARE_COLUMNS = `
  select b.id, b.version, b.created_at as "createdAt", b.updated_at as "updatedAt", b.code,
    b.programme_id as "programmeId", b.site_id as "siteId", s.code as "siteCode", b.village_id as "villageId",
    v.name as "villageName", b.design_revision_id as "designRevisionId", d.code as "designCode",
    r.capacity_l as "capacityL", b.tank_kind_id as "tankKindId", b.planned_start_on as "plannedStartOn",
    b.crew_id as "crewId", b.priced_on as "pricedOn", b.status, b.percent_complete::float8 as "percentComplete",
    b.current_stage_code as "currentStageCode", b.started_on as "startedOn", b.handed_over_on as "handedOverOn",
    b.cancelled_on as "cancelledOn",
    (select json_agg(json_build_object('grantId', g.grant_id, 'shareRatio', trim_scale(g.share_ratio)::text) order by g.grant_id)
      from build_grant_share g where g.organisation_id = b.organisation_id and g.build_id = b.id) as "grantShares"
  from build b
    join site s on s.organisation_id = b.organisation_id and s.id = b.site_id
    join village v on v.organisation_id = b.organisation_id and v.id = b.village_id
    join design_revision r on r.organisation_id = b.organisation_id and r.id = b.design_revision_id
    join tank_design d on d.organisation_id = r.organisation_id and d.id = r.design_id
  where b.organisation_id = $1`;

/** A page of 50 builds and one build by id over HTTP, against a bare Fastify and pg handler. */
export async function benchHttpReads(season: Season, programme: BenchProgramme): Promise<void> {
  const { token } = season;
  const ours = await buildApp({ db: season.db, limitsRates: false });
  const bare = await bareService(season, programme);
  const headers = { authorization: `Bearer ${token}` };
  try {
    const oursUrl = await listen(ours);
    const bareUrl = await listen(bare.app);
    const list = `/v1/builds?programmeId=${programme.programmeId}&limit=50`;
    const page = (await (await fetch(oursUrl + list, { headers })).json()) as {
      items: { id: string }[];
    };
    const one = `/v1/builds/${page.items[25]?.id}`;
    for (const [name, path] of [
      ['http-page-of-50-builds', list],
      ['http-build-by-id', one],
    ] as const) {
      const sameBytes = await answersAgree(oursUrl + path, bareUrl + path, headers);
      const rates = { ours: [] as number[], bare: [] as number[] };
      for (let round = 0; round < ROUNDS; round++) {
        rates.ours.push(await requestRate(oursUrl + path, headers));
        rates.bare.push(await requestRate(bareUrl + path, headers));
      }
      printBenchLine({
        name,
        value: median(rates.ours),
        unit: 'requests/s',
        baseline: median(rates.bare),
        note: `${CONNECTIONS} connections; baseline: bare Fastify and pg, no sign-in, no tenant transaction, no validation; same bytes: ${sameBytes}`,
      });
    }
  } finally {
    await ours.close();
    await bare.close();
  }
}

async function bareService({ appUrl, actor }: Season, { programmeId }: BenchProgramme) {
  const pool = new pg.Pool({
    connectionString: appUrl,
    max: 16,
    types: wireTypes,
    options: `-c app.organisation_id=${actor.organisationId}`,
  });
  const app = Fastify();
  app.get('/v1/builds', async () => {
    const { rows } = await pool.query(
      `${BARE_COLUMNS} and b.programme_id = $2 order by b.code, b.id limit 51`,
      [actor.organisationId, programmeId],
    );
    return { items: rows.slice(0, 50), nextCursor: '' };
  });
  app.get<{ Params: { id: string } }>('/v1/builds/:id', async ({ params }) => {
    const { rows } = await pool.query(`${BARE_COLUMNS} and b.id = $2`, [
      actor.organisationId,
      params.id,
    ]);
    return rows[0];
  });
  return {
    app,
    async close() {
      await app.close();
      await pool.end();
    },
  };
}

interface Listening {
  listen(options: { host: string; port: number }): Promise<string>;
  readonly server: { address(): AddressInfo | string | null };
}

async function listen(app: Listening): Promise<string> {
  await app.listen({ host: '127.0.0.1', port: 0 });
  return `http://127.0.0.1:${(app.server.address() as AddressInfo).port}`;
}

async function requestRate(url: string, headers: Record<string, string>): Promise<number> {
  const result = await autocannon({
    url,
    headers,
    connections: CONNECTIONS,
    duration: SECONDS_A_ROUND,
    workers: 1,
  });
  if (result.non2xx > 0 || result.errors > 0) throw new Error(`${url}: ${result.non2xx} refused`);
  return result.requests.average;
}

/** Compares the two answers but for the cursor, which only the service seals. */
async function answersAgree(oursUrl: string, bareUrl: string, headers: Record<string, string>) {
  const texts = await Promise.all(
    [oursUrl, bareUrl].map(async (url) => {
      const body = (await (await fetch(url, { headers })).json()) as Record<string, unknown>;
      return JSON.stringify('items' in body ? body.items : body, Object.keys(sample(body)).sort());
    }),
  );
  return texts[0] === texts[1];
}

function sample(body: Record<string, unknown>): object {
  const item = Array.isArray(body.items) ? (body.items[0] as object) : body;
  return { ...item, grantId: 0, shareRatio: 0 };
}
