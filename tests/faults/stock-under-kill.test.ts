import { mkdtemp } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { openService } from '../../src/boot.ts';
import { readConfig } from '../../src/config.ts';
import { embeddedStatus } from '../../src/db/embedded/supervisor.ts';
import { seededRandom } from '../../src/demo/seeded-random.ts';
import { systemClock } from '../../src/domain/clock.ts';
import { removeFolder } from '../support/embedded.ts';
import { type Founded, foundOrganisation } from '../support/founding.ts';
import { type ServiceProcess, startServiceProcess } from '../support/service-process.ts';
import { effectFaults, recountLedger } from '../support/stock-recount.ts';
import {
  foundStock,
  randomOperation,
  type StockOperation,
  type StockSeason,
} from '../support/stock-season.ts';

const WRITERS = 8;
/** Postings that go through; 10,000 take some minutes. */
const POSTINGS = Number(process.env.HOOPWRIGHT_LEDGER_POSTINGS ?? '600');
/** The service, its database, and both, the more often the more there is to do. */
const KILLS = POSTINGS < 5_000 ? 3 : 12;
/** A posting a storekeeper makes may be refused for these reasons, and for no other. */
const REFUSALS = new Set([
  'stock-below-zero',
  'issue-of-several-lots',
  'return-within-issued',
  'lot-expired',
]);

let dataDir: string;
let founded: Founded;
let season: StockSeason;
let service: ServiceProcess;

beforeAll(async () => {
  dataDir = await mkdtemp(join(tmpdir(), 'hoopwright-ledger-'));
  const opened = await openService(readConfig({ DATA_DIR: dataDir }));
  founded = await foundOrganisation(opened, ['storekeeper']);
  season = await foundStock(opened.db, founded);
  await opened.close();
  service = await startServiceProcess({ DATA_DIR: dataDir });
});
afterAll(async () => {
  await service?.end('SIGTERM');
  await removeFolder(dataDir);
});

it(`keeps ${POSTINGS} random postings of ${WRITERS} storekeepers over ${KILLS} kills of service and database: nothing lost, doubled or below zero`, {
  timeout: 60_000 + POSTINGS * 120,
}, async () => {
  const done = new Map<string, StockOperation>();
  const refused = new Map<string, StockOperation>();
  const attempted = new Map<string, StockOperation>();
  const unexpected: string[] = [];
  let sendings = 0;
  const isDone = () => done.size >= POSTINGS;

  async function send(operation: StockOperation): Promise<'done' | 'refused' | 'again'> {
    sendings++;
    const answer = await fetch(`${service.url}/v1/${operation.path}`, {
      method: 'POST',
      signal: AbortSignal.timeout(10_000),
      headers: {
        authorization: `Bearer ${founded.token}`,
        'content-type': 'application/json',
        ...(operation.hasKey ? { 'idempotency-key': operation.id } : {}),
      },
      body: JSON.stringify(operation.body),
    });
    const body = (await answer.json()) as { code?: string; rule?: string };
    if (answer.status === 201) return 'done';
    // Without a key the id tells: an entry with it is there already.
    if (answer.status === 409 && body.code === 'conflict' && !operation.hasKey) return 'done';
    if (answer.status === 422 && REFUSALS.has(body.rule ?? '')) return 'refused';
    if (answer.status !== 503 && body.code !== 'in-progress') {
      unexpected.push(`${answer.status} ${JSON.stringify(body)} to ${JSON.stringify(operation)}`);
    }
    return 'again';
  }

  async function storekeeper(seed: number) {
    const random = seededRandom(seed);
    const today = systemClock.today();
    while (!isDone() && unexpected.length === 0) {
      const operation = randomOperation(random, season, today);
      attempted.set(operation.id, operation);
      for (let outcome = 'again'; outcome === 'again' && !isDone(); ) {
        outcome = await send(operation).catch(() => 'again');
        if (outcome === 'done') done.set(operation.id, operation);
        else if (outcome === 'refused') refused.set(operation.id, operation);
        else await pause(20);
        if (unexpected.length > 0) return;
      }
    }
  }
  const writers = Array.from({ length: WRITERS }, (_, seed) => storekeeper(seed + 1));

  for (let kill = 0; kill < KILLS; kill++) {
    const goal = ((kill + 1) * POSTINGS) / (KILLS + 1);
    const deadline = Date.now() + 60_000 + POSTINGS * 20;
    while (done.size < goal && unexpected.length === 0) {
      if (Date.now() > deadline) throw new Error(`No progress:\n${service.output()}`);
      await pause(5);
    }
    const kills = ['service', 'database', 'both'][kill % 3];
    const database = (await embeddedStatus(dataDir)).server;
    if (kills !== 'service' && database) process.kill(database.pid, 'SIGKILL');
    if (kills !== 'database') {
      await service.end('SIGKILL');
      service = await startServiceProcess({ DATA_DIR: dataDir });
    }
  }
  await Promise.all(writers);
  expect(unexpected).toEqual([]);
  expect(done.size).toBeGreaterThanOrEqual(POSTINGS);
  expect(sendings).toBeGreaterThan(done.size + refused.size);

  const opened = await openService(readConfig({ DATA_DIR: dataDir }));
  try {
    const { faults, rows } = await opened.db.withTenant(founded.actor, recountLedger, {
      statementTimeoutMs: 60_000,
    });
    expect(faults).toEqual([]);
    const left = new Map<string, (typeof rows)[number][]>();
    for (const row of rows) {
      const of = left.get(row.document_number) ?? [];
      of.push(row);
      left.set(row.document_number, of);
    }
    const wrong = [...attempted.values()].flatMap((operation) => {
      const found = left.get(operation.id) ?? [];
      if (refused.has(operation.id)) {
        return found.length > 0 ? [`refused ${operation.kind} ${operation.id} is there`] : [];
      }
      if (!done.has(operation.id) && found.length === 0) return [];
      return effectFaults(operation, found) ?? [];
    });
    expect(wrong).toEqual([]);
    expect([...left.keys()].filter((id) => !attempted.has(id))).toEqual([]);
    const kinds = new Set([...done.values()].map(({ kind }) => kind));
    expect(kinds.size).toBe(6);
  } finally {
    await opened.close();
  }
});
