import { randomUUID } from 'node:crypto';
import pg from 'pg';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { type Changes, changes, syncResults } from '../../shared/contract/sync.ts';
import { cookieOf, givePassword, PASSWORD } from '../support/credentials.ts';
import { type MadeBuild, makeBuild, makePlaces } from '../support/factories.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const clock = { now: () => new Date('2026-11-25T08:00:00Z'), today: () => '2026-11-25' };

let service: TestService;
let supervisor: TestPerson;
let coordinator: TestPerson;
let made: MadeBuild;

beforeAll(async () => {
  service = await startTestService({ clock });
  const organisationId = await service.organisation();
  supervisor = await service.person(['supervisor'], organisationId);
  coordinator = await service.person(['coordinator'], organisationId);
  made = await makeBuild(service, coordinator);
});
afterAll(() => service.close());

interface Operation {
  readonly key: string;
  readonly path: string;
  readonly body: object;
  readonly after?: string;
  readonly method?: string;
}

const send = (operations: readonly Operation[], person = supervisor) =>
  service.http
    .post('/v1/sync/batch')
    .set(person.auth)
    .send({ operations: operations.map((each) => ({ method: 'POST', ...each })) });

async function resultsOf(operations: readonly Operation[], person = supervisor) {
  const answer = await send(operations, person);
  expect(answer.status, answer.text).toBe(200);
  return syncResults.parse(answer.body).results;
}

const stagePath = (buildId: string) => `/v1/builds/${buildId}/stage-records`;

const started = (buildId: string, more: object = {}): Operation => {
  const id = randomUUID();
  return {
    key: id,
    path: stagePath(buildId),
    body: { id, stageCode: 'site', kind: 'started', observedOn: '2026-11-20', ...more },
  };
};

const countRows = async (table: string, where = 'true') => {
  const rows = await service.as(supervisor, (tx) =>
    tx.sql<{ count: number }>(`select count(*)::int as count from ${table} where ${where}`),
  );
  return rows[0]?.count;
};

const changesOf = async (person: TestPerson, after?: string | null, limit = 200) => {
  const answer = await service.http
    .get('/v1/changes')
    .query({ limit, ...(after ? { after } : {}) })
    .set(person.auth);
  expect(answer.status, answer.text).toBe(200);
  return changes.parse(answer.body);
};

/** Waits until no transaction of this moment is at work any more, in any database of the server. */
async function settled(): Promise<void> {
  const { rows } = await service.db.pool.query<{ number: string }>(
    'select pg_snapshot_xmax(pg_current_snapshot())::text as number',
  );
  await vi.waitUntil(
    async () =>
      (
        await service.db.pool.query<{ is_past: boolean }>(
          'select pg_snapshot_xmin(pg_current_snapshot()) >= $1::xid8 as is_past',
          [rows[0]?.number],
        )
      ).rows[0]?.is_past,
    { timeout: 50_000, interval: 20 },
  );
}

describe('a batch of a device', () => {
  it('does each operation by itself, in order, and tells each its own result', async () => {
    const { buildId, stageCode } = await freshBuild();
    const first = started(buildId, { stageCode });
    const wrong = started(buildId, { stageCode: 'no-such-stage' });
    const note = { ...started(buildId, { stageCode }), path: '/v1/stage-record-batches' };
    const batched = {
      ...note,
      body: { records: [{ ...note.body, kind: 'finished', observedOn: '2026-11-21', buildId }] },
    };
    const results = await resultsOf([first, wrong, batched]);
    expect(results.map(({ key }) => key)).toEqual([first.key, wrong.key, batched.key]);
    expect(results.map(({ outcome, status }) => [outcome, status])).toEqual([
      ['done', 201],
      ['refused', 422],
      ['done', 200],
    ]);
    expect(results[0]?.body).toMatchObject({ id: first.key, buildId });
    expect(results[1]?.problem).toMatchObject({ code: expect.any(String), status: 422 });
    expect(await countRows('stage_record', `build_id = '${buildId}'`)).toBe(2);
    expect(await countRows('audit_entry', `record_id = '${first.key}'`)).toBe(1);
    expect(await countRows('audit_entry', `record_id = '${wrong.key}'`)).toBe(0);
  });

  it('makes nothing twice, however often it is sent, whole or in parts', async () => {
    const { buildId, stageCode } = await freshBuild();
    const operations = [
      started(buildId, { stageCode }),
      started(buildId, { stageCode, kind: 'finished', observedOn: '2026-11-22' }),
    ];
    const first = await resultsOf(operations);
    const again = await resultsOf(operations);
    const [, last] = operations;
    if (!last) throw new Error('two operations were made');
    const alone = await service.http
      .post(last.path)
      .set(supervisor.auth)
      .set('idempotency-key', last.key)
      .send(last.body)
      .expect(201);
    expect(alone.headers['idempotency-replayed']).toBe('true');
    expect(again.map(({ outcome }) => outcome)).toEqual(['done-before', 'done-before']);
    expect(again.map(({ body }) => body)).toEqual(first.map(({ body }) => body));
    const both = await Promise.all([resultsOf(operations), resultsOf(operations)]);
    expect(both.flat().every(({ outcome }) => outcome === 'done-before')).toBe(true);
    expect(await countRows('stage_record', `build_id = '${buildId}'`)).toBe(2);
  });

  it('does not try what depends on something that was refused, nor what depends on that', async () => {
    const { buildId, stageCode } = await freshBuild();
    const wrong = started(buildId, { stageCode: 'no-such-stage' });
    const second = { ...started(buildId, { stageCode }), after: wrong.key };
    const third = { ...started(buildId, { stageCode }), after: second.key };
    const free = started(buildId, { stageCode });
    const results = await resultsOf([wrong, second, third, free]);
    expect(results.map(({ outcome }) => outcome)).toEqual([
      'refused',
      'not-tried',
      'not-tried',
      'done',
    ]);
    expect(results[1]).toMatchObject({ status: null, body: null, problem: null });
    expect(await countRows('stage_record', `build_id = '${buildId}'`)).toBe(1);
    // The refused one left no key behind: put right, it is done under a new key, and so is the rest.
    const right = started(buildId, { stageCode, kind: 'finished' });
    const later = await resultsOf([right, { ...third, after: right.key }]);
    expect(later.map(({ outcome }) => outcome)).not.toContain('not-tried');
  });

  it('gives an operation no more rights than its route does', async () => {
    const { buildId, stageCode } = await freshBuild();
    const stockOperation = {
      key: randomUUID(),
      path: '/v1/stock-entries',
      body: {
        kind: 'count',
        storeId: randomUUID(),
        materialId: randomUUID(),
        observedOn: '2026-11-20',
        countedQuantity: '1',
      },
    };
    const [stock, stage] = await resultsOf([stockOperation, started(buildId, { stageCode })]);
    expect(stock).toMatchObject({
      outcome: 'refused',
      status: 403,
      problem: { code: 'forbidden' },
    });
    expect(stage?.outcome).toBe('done');
    const stranger = await service.person(['supervisor']);
    const [foreign] = await resultsOf([started(buildId, { stageCode })], stranger);
    expect(foreign).toMatchObject({ outcome: 'refused', status: 404 });
  });

  it('refuses whole, with nothing done, what names no field operation or is in no order', async () => {
    const { buildId, stageCode } = await freshBuild();
    const good = started(buildId, { stageCode });
    const bad = [
      { ...good, key: 'a', path: '/v1/sessions' },
      { ...good, key: 'b', path: `${good.path}?x=1` },
      { ...good, key: 'c', path: `/v1/builds/${buildId}/../people` },
      { ...good, key: good.key },
      { ...good, key: 'd', after: 'e' },
    ];
    const problem = expectProblem(await send([good, ...bad]), 422, 'invalid-content');
    expect(problem.errors?.map(({ pointer }) => pointer)).toEqual([
      '/operations/1/path',
      '/operations/2/path',
      '/operations/3/path',
      '/operations/4/key',
      '/operations/5/after',
    ]);
    expect(await countRows('stage_record', `build_id = '${buildId}'`)).toBe(0);
    expectProblem(await send([]), 422, 'invalid-content');
    const many = Array.from({ length: 201 }, () => started(buildId, { stageCode }));
    expectProblem(await send(many), 422, 'invalid-content');
    const get = { ...good, method: 'GET' };
    expectProblem(await send([get]), 422, 'invalid-content');
  });

  it('answers a donor 403, and a session that was ended 401', async () => {
    const donor = await service.person(['donor'], supervisor.organisationId);
    expectProblem(await send([started(made.buildId)], donor), 403, 'forbidden');
    expectProblem(await service.http.get('/v1/changes').set(donor.auth), 403, 'forbidden');
    await givePassword(service, supervisor);
    const phone = await service.http
      .post('/v1/sessions')
      .send({ email: supervisor.email, password: PASSWORD, deviceName: 'Old phone' })
      .expect(201);
    const admin = await service.person(['admin'], supervisor.organisationId);
    const listed = await service.http
      .get('/v1/sessions')
      .query({ personId: supervisor.personId })
      .set(admin.auth)
      .expect(200);
    const lost = listed.body.items.find(
      ({ deviceName }: { deviceName: string }) => deviceName === 'Old phone',
    );
    expect(lost.id).toBe(phone.body.session.id);
    const { buildId, stageCode } = await freshBuild();
    const batch = { operations: [{ method: 'POST', ...started(buildId, { stageCode }) }] };
    const post = () => service.http.post('/v1/sync/batch').set(cookieOf(phone)).send(batch);
    const before = await post().expect(200);
    expect(before.body.results[0].outcome).toBe('done');
    await service.http.delete(`/v1/sessions/${lost.id}`).set(admin.auth).expect(200);
    expectProblem(await post(), 401, 'unauthenticated');
  });
});

describe('the feed of changes', () => {
  it('lists what the person may read, once each, and again only when it changes again', async () => {
    const organisationId = await service.organisation();
    const boss = await service.person(['coordinator'], organisationId);
    const keeper = await service.person(['storekeeper'], organisationId);
    const built = await makeBuild(service, boss);
    await settled();
    const all = await changesOf(boss);
    expect(all.items.map(({ noun }) => noun).sort()).toEqual(['build', 'material']);
    expect(all.items.find(({ noun }) => noun === 'build')).toMatchObject({
      id: built.buildId,
      buildId: built.buildId,
      version: 1,
    });
    const now = await service.http.get('/v1/changes?from=now').set(boss.auth).expect(200);
    expect(changes.parse(now.body)).toMatchObject({ items: [], hasMore: false });
    expectProblem(
      await service.http.get('/v1/changes').query({ from: 'now', after: all.next }).set(boss.auth),
      422,
      'invalid-content',
    );
    const still = await changesOf(boss, all.next);
    expect(still).toMatchObject({ items: [], hasMore: false, next: all.next });
    const build = await service.http.get(`/v1/builds/${built.buildId}`).set(boss.auth).expect(200);
    await service.http
      .patch(`/v1/builds/${built.buildId}`)
      .set(boss.auth)
      .set('if-match', build.headers.etag ?? '')
      .set('content-type', 'application/merge-patch+json')
      .send(JSON.stringify({ plannedStartOn: '2026-12-01' }))
      .expect(200);
    await settled();
    const later = await changesOf(boss, all.next);
    expect(later.items).toMatchObject([{ noun: 'build', id: built.buildId, version: 2 }]);
    expect((await changesOf(boss, now.body.next)).items).toEqual(later.items);
    const kept = await changesOf(keeper);
    expect(kept.items.map(({ noun }) => noun)).not.toContain('inspection');
    // A place belongs to what its reader may see.
    expectProblem(
      await service.http.get('/v1/changes').query({ after: all.next }).set(keeper.auth),
      422,
      'invalid-content',
    );
    const stranger = await service.person(['coordinator']);
    expect((await changesOf(stranger)).items).toEqual([]);
    expectProblem(
      await service.http.get('/v1/changes').query({ after: later.next }).set(stranger.auth),
      422,
      'invalid-content',
    );
  });

  it('waits for a transaction that began earlier and ends later, and then shows it', async () => {
    const organisationId = await service.organisation();
    const boss = await service.person(['coordinator'], organisationId);
    const { programmeId } = await makePlaces(service, boss);
    const [slowId, quickId] = [randomUUID(), randomUUID()];
    const insert = `insert into crew (organisation_id, id, programme_id, code, name, size)
      values ($1, $2, $3, $4, $4, 4)`;
    const admin = new pg.Client({ connectionString: service.database.adminUrl });
    await admin.connect();
    try {
      await admin.query('begin');
      await admin.query(insert, [organisationId, slowId, programmeId, 'SLOW']);
      await service.as(boss, (tx) =>
        tx.sql(insert, [organisationId, quickId, programmeId, 'QUICK']),
      );
      const before = await changesOf(boss);
      expect(before.items).toEqual([]);
      await admin.query('commit');
      await settled();
      const after = await changesOf(boss, before.next);
      expect(after.items.map(({ id }) => id)).toEqual([slowId, quickId]);
    } finally {
      await admin.end();
    }
  });

  it('passes nothing over and shows nothing twice while eight writers work', async () => {
    const organisationId = await service.organisation();
    const boss = await service.person(['coordinator'], organisationId);
    const { programmeId } = await makePlaces(service, boss);
    const WRITERS = 8;
    const TRANSACTIONS = 40;
    const written: string[] = [];
    const seen: Changes['items'] = [];
    let isWriting = true;

    const write = async (writer: number) => {
      for (let turn = 0; turn < TRANSACTIONS; turn += 1) {
        const ids = Array.from({ length: 1 + ((writer + turn) % 3) }, () => randomUUID());
        const isUndone = (writer * 7 + turn) % 9 === 0;
        await service
          .as(boss, async (tx) => {
            for (const id of ids) {
              await tx.sql(
                `insert into crew (organisation_id, id, programme_id, code, name, size)
                 values ($1, $2, $3, $4, 'Crew', 4)`,
                [organisationId, id, programmeId, `C-${id}`],
              );
              // Longer than another takes, so that the order of commits is not that of begins.
              await tx.sql('select pg_sleep($1)', [((writer * 13 + turn * 7) % 10) / 1000]);
            }
            if (isUndone) throw new Error('undone');
          })
          .catch((error: Error) => expect(error.message).toBe('undone'));
        if (!isUndone) written.push(...ids);
      }
    };
    const read = async () => {
      let after: string | null = null;
      let isLast = false;
      for (;;) {
        const page: Changes = await changesOf(boss, after, 7);
        seen.push(...page.items);
        after = page.next;
        if (isLast && !page.hasMore) return;
        isLast = !isWriting;
      }
    };
    const reading = read();
    await Promise.all(Array.from({ length: WRITERS }, (_, writer) => write(writer)));
    await settled();
    isWriting = false;
    await reading;
    const ids = seen.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids.toSorted()).toEqual(written.toSorted());
    expect(written.length).toBeGreaterThan(WRITERS * TRANSACTIONS);
  });

  it('shows the last version of records that eight writers change over and over', async () => {
    const organisationId = await service.organisation();
    const boss = await service.person(['coordinator'], organisationId);
    const { programmeId } = await makePlaces(service, boss);
    const ids = Array.from({ length: 5 }, () => randomUUID());
    await service.as(boss, (tx) =>
      tx.sql(
        `insert into crew (organisation_id, id, programme_id, code, name, size)
         select $1, id, $3, id::text, 'Crew', 4 from unnest($2::uuid[]) as id`,
        [organisationId, ids, programmeId],
      ),
    );
    let isWriting = true;
    const lastSeen = new Map<string, number>();
    const pairs = new Set<string>();
    let repeats = 0;
    const read = async () => {
      let after: string | null = null;
      let isLast = false;
      for (;;) {
        const page: Changes = await changesOf(boss, after, 3);
        for (const { id, version } of page.items) {
          const before = lastSeen.get(id) ?? 0;
          expect(version ?? 0).toBeGreaterThan(before);
          if (pairs.has(`${id} ${version}`)) repeats += 1;
          pairs.add(`${id} ${version}`);
          lastSeen.set(id, version ?? 0);
        }
        after = page.next;
        if (isLast && !page.hasMore) return;
        isLast = !isWriting;
      }
    };
    const reading = read();
    await Promise.all(
      Array.from({ length: 8 }, async (_, writer) => {
        for (let turn = 0; turn < 30; turn += 1) {
          await service.as(boss, (tx) =>
            tx.sql('update crew set version = version + 1 where organisation_id = $1 and id = $2', [
              organisationId,
              ids[(writer + turn) % ids.length],
            ]),
          );
        }
      }),
    );
    await settled();
    isWriting = false;
    await reading;
    expect(repeats).toBe(0);
    expect([...lastSeen.values()]).toEqual(ids.map(() => 1 + (8 * 30) / ids.length));
  });
});

/** A build of its own with the code of the first stage of its template. */
async function freshBuild(): Promise<{ buildId: string; stageCode: string }> {
  const { buildId } = await makeBuild(service, coordinator);
  const progress = await service.http
    .get(`/v1/builds/${buildId}/progress`)
    .set(supervisor.auth)
    .expect(200);
  return { buildId, stageCode: progress.body.stages[0].stageCode as string };
}
