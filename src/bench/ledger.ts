import { randomUUID } from 'node:crypto';
import type { AddressInfo } from 'node:net';
import pg from 'pg';
import { buildApp } from '../app.ts';
import { printBenchLine } from './bench-line.ts';
import { median } from './median-time.ts';
import type { Season } from './season-database.ts';

const WRITERS = 8;
const POSTINGS_A_WRITER = 60;
const ROUNDS = 3;
const STORES = 4;

const PLAIN_SQL = `
  insert into stock_entry (organisation_id, id, store_id, material_id, kind, quantity, unit_code, observed_on,
    document_number, recorded_by_id)
  values ($1, $2, $3, $4, 'receive', 10, 'KGM', '2026-10-02', 'bench', $5)`;

/** Postings a second of eight storekeepers over HTTP, against plain inserts of the same rows. */
export async function benchLedger({ db, actor, appUrl, token }: Season): Promise<void> {
  const org = actor.organisationId;
  const storeIds = Array.from({ length: STORES }, () => randomUUID());
  const materialId = randomUUID();
  await db.withTenant(actor, async (tx) => {
    for (const id of storeIds) {
      await tx.sql(
        `insert into store (organisation_id, id, code, name, place) values ($1, $2, $3, 'Store', 'Bench')`,
        [org, id, `LB-${id.slice(0, 8)}`],
      );
    }
    await tx.sql(
      `insert into material (organisation_id, id, code, name, category, unit_code)
       values ($1, $2, $3, 'Bench cement', 'binder', 'KGM')`,
      [org, materialId, `LM-${materialId.slice(0, 8)}`],
    );
  });
  const app = await buildApp({ db, limitsRates: false, shedsLoad: false });
  await app.listen({ host: '127.0.0.1', port: 0 });
  const url = `http://127.0.0.1:${(app.server.address() as AddressInfo).port}/v1/stock-entries`;
  const pool = new pg.Pool({
    connectionString: appUrl,
    max: WRITERS,
    options: `-c app.organisation_id=${org}`,
  });
  const storeOf = (turn: number) => storeIds[turn % STORES];

  const overHttp = async (turn: number) => {
    const answer = await fetch(url, {
      method: 'POST',
      headers: {
        authorization: `Bearer ${token}`,
        'content-type': 'application/json',
        'idempotency-key': randomUUID(),
      },
      body: JSON.stringify({
        kind: 'receive',
        storeId: storeOf(turn),
        materialId,
        quantity: '10',
        observedOn: '2026-10-02',
        documentNumber: 'bench',
      }),
    });
    await answer.arrayBuffer();
    if (answer.status !== 201) throw new Error(`A posting was answered ${answer.status}`);
  };
  const plainly = (turn: number) =>
    pool.query(PLAIN_SQL, [org, randomUUID(), storeOf(turn), materialId, actor.personId]);

  try {
    const rates = { ours: [] as number[], plain: [] as number[] };
    await perSecond(overHttp);
    for (let round = 0; round < ROUNDS; round++) {
      rates.ours.push(await perSecond(overHttp));
      rates.plain.push(await perSecond(plainly));
    }
    printBenchLine({
      name: 'ledger-postings',
      value: median(rates.ours),
      unit: 'postings/s',
      baseline: median(rates.plain),
      note: `${WRITERS} writers on ${STORES} stock cards over HTTP with idempotency keys, held balances and audit; baseline: plain inserts of the same rows, each committed`,
    });
  } finally {
    await app.close();
    await pool.end();
  }
}

async function perSecond(post: (turn: number) => Promise<unknown>): Promise<number> {
  const from = process.hrtime.bigint();
  await Promise.all(
    Array.from({ length: WRITERS }, async (_, writer) => {
      for (let turn = 0; turn < POSTINGS_A_WRITER; turn++) await post(writer + turn);
    }),
  );
  const seconds = Number(process.hrtime.bigint() - from) / 1e9;
  return (WRITERS * POSTINGS_A_WRITER) / seconds;
}
