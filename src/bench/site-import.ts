import { randomUUID } from 'node:crypto';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import pg from 'pg';
import { from as copyFrom } from 'pg-copy-streams';
import { buildApp } from '../app.ts';
import { printBenchLine } from './bench-line.ts';
import { median } from './median-time.ts';
import type { Season } from './season-database.ts';

const ROWS = 10_000;
const ROUNDS = 3;

const HEADER = 'code,village,kind,roof_area_m2,roof_kind,people,ground_class';

/** Dry run and apply of a file of 10,000 sites, against COPY of the same rows without any check. */
export async function benchSiteImport(season: Season): Promise<void> {
  const app = await buildApp({ db: season.db, limitsRates: false });
  const times = { dryRun: [] as number[], apply: [] as number[], copy: [] as number[] };
  try {
    for (let round = 0; round < ROUNDS; round++) {
      const { programmeId } = await season.addProgramme(0);
      const label = programmeId.slice(0, 8);
      const file = [HEADER, ...Array.from({ length: ROWS }, (_, n) => siteRow(label, n))].join(
        '\r\n',
      );
      const send = async (query: string) => {
        const from = process.hrtime.bigint();
        const answer = await app.inject({
          method: 'POST',
          url: `/v1/programmes/${programmeId}/site-imports?${query}`,
          headers: { authorization: `Bearer ${season.token}`, 'content-type': 'text/csv' },
          payload: file,
        });
        if (answer.statusCode >= 300) throw new Error(answer.body.slice(0, 500));
        return {
          ms: Number(process.hrtime.bigint() - from) / 1e6,
          body: answer.json<{ planHash: string }>(),
        };
      };
      const checked = await send('mode=dry-run');
      times.dryRun.push(checked.ms);
      times.apply.push((await send(`mode=apply&planHash=${checked.body.planHash}`)).ms);
      times.copy.push(await copyAlone(season, programmeId));
    }
  } finally {
    await app.close();
  }
  const note = `${ROWS} rows of CSV; baseline: COPY of as many rows and one insert, unchecked`;
  const baseline = median(times.copy);
  printBenchLine({
    name: 'site-import-dry-run',
    value: median(times.dryRun),
    unit: 'ms',
    baseline,
    note,
  });
  printBenchLine({
    name: 'site-import-apply',
    value: median(times.apply),
    unit: 'ms',
    baseline,
    note,
  });
}

const siteRow = (label: string, n: number) =>
  `I-${label}-${n},V-${label}-${1 + (n % 40)},household,${30 + (n % 60)},metal-sheet,${3 + (n % 8)},stiff-clay`;

/** COPY into a staging table and one insert from it: row security does not let COPY write the table itself. */
async function copyAlone({ appUrl, actor }: Season, programmeId: string): Promise<number> {
  const client = new pg.Client({
    connectionString: appUrl,
    options: `-c app.organisation_id=${actor.organisationId}`,
  });
  await client.connect();
  try {
    const { rows } = await client.query<{ id: string }>(
      `select id from village where organisation_id = $1 and code like 'V-' || $2 || '-%'`,
      [actor.organisationId, programmeId.slice(0, 8)],
    );
    const lines = Array.from({ length: ROWS }, (_, n) => {
      const village = rows[n % rows.length]?.id;
      return `${randomUUID()},${village},C-${n},${30 + (n % 60)},${3 + (n % 8)}\n`;
    });
    const from = process.hrtime.bigint();
    await client.query('begin');
    await client.query(
      'create temporary table staged (id uuid, village_id uuid, code text, roof float8, people int) on commit drop',
    );
    await pipeline(
      Readable.from(lines),
      client.query(copyFrom('copy staged from stdin with (format csv)')),
    );
    await client.query(
      `insert into site (organisation_id, id, programme_id, village_id, code, kind, roof_area_m2, roof_kind, people_served, ground_class)
       select $1, id, $2, village_id, code, 'household', roof, 'metal-sheet', people, 'stiff-clay' from staged`,
      [actor.organisationId, programmeId],
    );
    await client.query('commit');
    return Number(process.hrtime.bigint() - from) / 1e6;
  } finally {
    await client.end();
  }
}
