import { randomUUID } from 'node:crypto';
import { mkdtemp } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { openService } from '../../src/boot.ts';
import { readConfig } from '../../src/config.ts';
import { embeddedStatus } from '../../src/db/embedded/supervisor.ts';
import { removeFolder } from '../support/embedded.ts';
import { type Founded, foundOrganisation } from '../support/founding.ts';
import { type ServiceProcess, startServiceProcess } from '../support/service-process.ts';

const KILLS = 20;
const WRITERS = 8;
/** Acknowledged writes between two kills, so that each kill falls among running requests. */
const WRITES_BETWEEN_KILLS = 25;

let dataDir: string;
let founded: Founded;
let service: ServiceProcess;

beforeAll(async () => {
  dataDir = await mkdtemp(join(tmpdir(), 'hoopwright-kills-'));
  const opened = await openService(readConfig({ DATA_DIR: dataDir }));
  founded = await foundOrganisation(opened, ['coordinator']);
  await opened.close();
  service = await startServiceProcess({ DATA_DIR: dataDir });
});
afterAll(async () => {
  await service?.end('SIGTERM');
  await removeFolder(dataDir);
});

it(`loses and doubles no acknowledged write over ${KILLS} kills of service and database under ${WRITERS} writers`, async () => {
  const acknowledged = new Set<string>();
  const attempted = new Set<string>();
  const unexpected: string[] = [];
  let isDone = false;

  async function write() {
    const operation = randomUUID();
    attempted.add(operation);
    while (true) {
      try {
        const answer = await fetch(`${service.url}/v1/cost-entries`, {
          method: 'POST',
          signal: AbortSignal.timeout(10_000),
          headers: {
            authorization: `Bearer ${founded.token}`,
            'content-type': 'application/json',
            'idempotency-key': operation,
          },
          body: JSON.stringify({
            programmeId: founded.programmeId,
            state: 'paid',
            funding: 'cash',
            occurredOn: '2026-06-01',
            description: operation,
            amount: { amount: '1.00', currency: 'EUR' },
          }),
        });
        const body = await answer.text();
        if (answer.status === 201) {
          acknowledged.add(operation);
          return;
        }
        if (answer.status !== 503 && answer.status !== 409)
          unexpected.push(`${answer.status} ${body}`);
      } catch {
        // The process is away: the same key is sent again.
      }
      if (isDone) return;
      await pause(20);
    }
  }
  const writers = Array.from({ length: WRITERS }, async () => {
    while (!isDone) await write();
  });

  for (let kill = 0; kill < KILLS; kill++) {
    const goal = acknowledged.size + WRITES_BETWEEN_KILLS;
    const deadline = Date.now() + 30_000;
    while (acknowledged.size < goal) {
      if (Date.now() > deadline)
        throw new Error(`No progress after kill ${kill}:\n${service.output()}`);
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
  isDone = true;
  await Promise.all(writers);

  expect(unexpected).toEqual([]);
  const opened = await openService(readConfig({ DATA_DIR: dataDir }));
  try {
    const rows = await opened.db.withTenant(founded.actor, (tx) =>
      tx.sql<{ description: string; count: number }>(
        'select description, count(*) as count from cost_entry group by description',
      ),
    );
    const written = new Map(rows.map((row) => [row.description, row.count]));
    const lost = [...acknowledged].filter((operation) => !written.has(operation));
    const doubled = rows.filter(({ count }) => count > 1);
    const foreign = rows.filter(({ description }) => !attempted.has(description));
    expect({ lost, doubled, foreign }).toEqual({ lost: [], doubled: [], foreign: [] });
    expect(acknowledged.size).toBeGreaterThanOrEqual(KILLS * WRITES_BETWEEN_KILLS);
  } finally {
    await opened.close();
  }
});
