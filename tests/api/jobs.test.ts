import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { job } from '../../shared/contract/job.ts';
import { DomainError, ruleBroken } from '../../src/domain/errors.ts';
import { jobHandlers } from '../../src/jobs/handlers.ts';
import { jobRecord } from '../../src/jobs/job-record.ts';
import { requestJob } from '../../src/jobs/request-job.ts';
import { type JobHandler, runDelivery } from '../../src/jobs/run-job.ts';
import { startWorker } from '../../src/jobs/worker.ts';
import { runQueuedJobs, withQueue } from '../support/jobs.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const QUEUE = 'programme-sizing';

let service: TestService;
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService();
});
afterAll(() => service.close());
beforeEach(async () => {
  coordinator = await service.person(['coordinator']);
  await service.db.pool.query('delete from pgboss.job');
});

const ask = (input: object = {}, person = coordinator) =>
  service.as(person, (tx) => requestJob(tx, QUEUE, input));

const read = async (id: string, person = coordinator) =>
  job.parse((await service.http.get(`/v1/jobs/${id}`).set(person.auth).expect(200)).body);

const cancel = (id: string, person = coordinator) =>
  service.http.post(`/v1/jobs/${id}/cancellations`).set(person.auth);

const run = (handler: JobHandler) => runQueuedJobs(service, { handlers: { [QUEUE]: handler } });

const runner = (handler: JobHandler) => ({
  db: service.db,
  handlers: { ...jobHandlers, [QUEUE]: handler },
  log: { info: () => undefined, error: () => undefined },
});

const nobodyStops = new AbortController().signal;

/** Makes every job that a worker has taken look as if its worker had died long ago. */
const loseWorkers = () =>
  service.db.pool.query(
    `update pgboss.job set started_on = now() - interval '1 hour' where state = 'active'`,
  );

describe('jobs', () => {
  it('runs on behalf of whoever asked, in their organisation, and shows how it stands', async () => {
    const asked = await ask({ answer: 42 });
    expect(await read(asked.id)).toMatchObject({
      state: 'queued',
      attempt: 0,
      requestedById: coordinator.personId,
      startedAt: null,
    });
    const attempts = await run(async ({ actor, input, step }) => {
      const [row] = await step({ done: 1, total: 2 }, (tx) =>
        tx.sql<{ id: string }>('select id from organisation'),
      );
      await step({ done: 2, total: 2 }, (tx) => tx.audit('check', 'job', asked.id, {}));
      return { person: actor.personId, organisation: row?.id, input };
    });
    expect(attempts).toBe(1);
    expect(await read(asked.id)).toMatchObject({
      state: 'succeeded',
      attempt: 1,
      progress: { done: 2, total: 2 },
      result: {
        person: coordinator.personId,
        organisation: coordinator.organisationId,
        input: { answer: 42 },
      },
      error: null,
    });
    const entries = await service.as(coordinator, (tx) =>
      tx.sql<{ action: string; person_id: string }>(
        `select action, person_id from audit_entry where record_id = $1 order by recorded_at`,
        [asked.id],
      ),
    );
    expect(entries).toEqual([
      { action: 'request', person_id: coordinator.personId },
      { action: 'check', person_id: coordinator.personId },
    ]);
  });

  it('exists only when the transaction that asked for it commits', async () => {
    const lost = service.as(coordinator, async (tx) => {
      await requestJob(tx, QUEUE, {});
      throw new DomainError('conflict');
    });
    await expect(lost).rejects.toThrow(DomainError);
    expect(await run(async () => ({}))).toBe(0);
    const { body } = await service.http.get('/v1/jobs').set(coordinator.auth).expect(200);
    expect(body.items).toEqual([]);
  });

  it('runs again when its worker dies, and the dead attempt cannot write after all', async () => {
    const asked = await ask();
    const notes: string[] = [];
    await withQueue(service, async (queue) => {
      const first = await queue.take(QUEUE);
      if (!first) throw new Error('nothing was queued');
      const verdict = await runDelivery(
        runner(async ({ step }) => {
          // while this attempt sleeps it is given up for dead, and the next one does the work
          await loseWorkers();
          await queue.maintain();
          await run(async (second) => {
            await second.step({ done: 1, total: 1 }, async () => notes.push('second'));
            return { by: 'second' };
          });
          await step({ done: 1, total: 1 }, async () => notes.push('first'));
          return { by: 'first' };
        }),
        first,
        nobodyStops,
      );
      expect(verdict).toBe('complete');
    });
    expect(notes).toEqual(['second']);
    expect(await read(asked.id)).toMatchObject({
      state: 'succeeded',
      attempt: 2,
      result: { by: 'second' },
    });
  });

  it('takes up a delivery of a job that has ended without running it again', async () => {
    const asked = await ask();
    await withQueue(service, async (queue) => {
      const first = await queue.take(QUEUE);
      if (!first) throw new Error('nothing was queued');
      await runDelivery(
        runner(async () => ({ run: 1 })),
        first,
        nobodyStops,
      );
      // killed after the end was written and before the queue heard of it
      await loseWorkers();
      await queue.maintain();
    });
    expect(await run(async () => ({ run: 2 }))).toBe(1);
    expect(await read(asked.id)).toMatchObject({ attempt: 1, result: { run: 1 } });
  });

  it('ends a poison job as failed after its attempts, and the jobs behind it run', async () => {
    const poison = await ask({ poison: true });
    const good = await ask({ poison: false });
    const attempts = await run(async ({ input }) => {
      if (input.poison) throw new Error('secret cause');
      return { done: true };
    });
    expect(attempts).toBe(5);
    const failed = await read(poison.id);
    expect(failed).toMatchObject({ state: 'failed', attempt: 4, error: { code: 'internal' } });
    expect(failed.error?.detail).toContain('Attempt 4 failed');
    expect(JSON.stringify(failed)).not.toContain('secret cause');
    expect(await read(good.id)).toMatchObject({ state: 'succeeded', attempt: 1 });
  });

  it('fails at once, saying which rule, when another attempt could not help', async () => {
    const asked = await ask();
    const errors = [{ pointer: '/a', code: 'x', message: 'is wrong' }];
    const attempts = await run(async () => {
      throw ruleBroken('some-rule', 'It cannot be.', errors);
    });
    expect(attempts).toBe(1);
    expect(await read(asked.id)).toMatchObject({
      state: 'failed',
      error: { code: 'rule-broken', rule: 'some-rule', detail: 'It cannot be.', errors },
    });
  });

  it('says so when every worker that took a job died', async () => {
    const asked = await ask();
    await withQueue(service, async (queue) => {
      for (let attempt = 1; attempt <= 4; attempt++) {
        const taken = await queue.take(QUEUE);
        expect(taken?.isLastAttempt).toBe(attempt === 4);
        await service.as(coordinator, (tx) => jobRecord.begin(tx, asked.id));
        await loseWorkers();
        await queue.maintain();
      }
    });
    await run(async () => ({}));
    const dead = await read(asked.id);
    expect(dead).toMatchObject({ state: 'failed', attempt: 4, error: { code: 'internal' } });
    expect(dead.error?.detail).toContain('Every attempt ended without an answer');
  });

  it('never starts a job that was cancelled while it waited', async () => {
    const asked = await ask();
    const cancelled = await cancel(asked.id).expect(200);
    expect(cancelled.body.state).toBe('cancelled');
    await run(async () => {
      throw new Error('must not run');
    });
    expect(await read(asked.id)).toMatchObject({ state: 'cancelled', attempt: 0, error: null });
    expect((await cancel(asked.id).expect(200)).body.state).toBe('cancelled');
  });

  it('stops a running job between two steps and keeps the first', async () => {
    const asked = await ask();
    await run(async ({ step }) => {
      await step({ done: 1, total: 2 }, async () => undefined);
      await cancel(asked.id).expect(200);
      await step({ done: 2, total: 2 }, async () => undefined);
      return {};
    });
    expect(await read(asked.id)).toMatchObject({
      state: 'cancelled',
      progress: { done: 1, total: 2 },
      result: null,
    });
  });

  it('cancels a job whose worker died while it was to be cancelled', async () => {
    const asked = await ask();
    await withQueue(service, async (queue) => {
      await queue.take(QUEUE);
      await service.as(coordinator, (tx) => jobRecord.begin(tx, asked.id));
      expect((await cancel(asked.id).expect(200)).body.state).toBe('running');
      await loseWorkers();
      await queue.maintain();
    });
    await run(async () => ({}));
    expect(await read(asked.id)).toMatchObject({ state: 'cancelled', attempt: 1 });
  });

  it('is cancelled by its requester or a coordinator, and not once it has ended', async () => {
    const org = coordinator.organisationId;
    const [supervisor, engineer] = await Promise.all([
      service.person(['supervisor'], org),
      service.person(['engineer'], org),
    ]);
    const asked = await ask({}, engineer);
    expectProblem(await cancel(asked.id, supervisor), 403, 'forbidden');
    await run(async () => ({}));
    const late = expectProblem(await cancel(asked.id), 422, 'rule-broken');
    expect(late.rule).toBe('job-has-ended');
    const second = await ask({}, engineer);
    await cancel(second.id, engineer).expect(200);
  });

  it('is hidden from other organisations', async () => {
    const asked = await ask();
    const stranger = await service.person(['coordinator']);
    expectProblem(
      await service.http.get(`/v1/jobs/${asked.id}`).set(stranger.auth),
      404,
      'not-found',
    );
    expectProblem(await cancel(asked.id, stranger), 404, 'not-found');
    expectProblem(await cancel(randomUUID()), 404, 'not-found');
  });

  it('is listed newest first, by state, page by page', async () => {
    const ids: string[] = [];
    for (let index = 0; index < 3; index++) ids.push((await ask({ index })).id);
    await cancel(ids[1] ?? '').expect(200);
    const get = (query: string) =>
      service.http.get(`/v1/jobs?${query}`).set(coordinator.auth).expect(200);
    const first = await get('limit=2');
    const rest = await get(`limit=2&cursor=${first.body.nextCursor}`);
    const listed = [...first.body.items, ...rest.body.items].map((row) => row.id);
    expect(new Set(listed)).toEqual(new Set(ids));
    const created = [...first.body.items, ...rest.body.items].map((row) => row.createdAt);
    expect(created).toEqual(created.toSorted().reverse());
    const cancelled = await get('state=cancelled');
    expect(cancelled.body.items.map((row: { id: string }) => row.id)).toEqual([ids[1]]);
    expectProblem(
      await service.http.get('/v1/jobs?state=lost').set(coordinator.auth),
      422,
      'invalid-content',
    );
  });
});

describe('the worker', () => {
  it('takes jobs by itself until it is stopped', async () => {
    const worker = await startWorker(
      service,
      runner(async ({ input }) => ({ ...input })),
    );
    const asked = await ask({ n: 1 });
    await vi.waitFor(
      async () => {
        expect((await read(asked.id)).state).toBe('succeeded');
      },
      { timeout: 10_000 },
    );
    await worker.stop();
    const later = await ask({ n: 2 });
    expect((await read(later.id)).state).toBe('queued');
  });

  it('hands its running job on when it is stopped', async () => {
    const asked = await ask();
    let began: () => void = () => undefined;
    const isRunning = new Promise<void>((resolve) => {
      began = resolve;
    });
    const worker = await startWorker(
      service,
      runner(async ({ step }) => {
        began();
        for (let done = 0; ; done++) await step({ done, total: 1e6 }, async () => undefined);
      }),
    );
    await isRunning;
    await worker.stop();
    expect(await read(asked.id)).toMatchObject({ state: 'running', attempt: 1 });
    await run(async () => ({ by: 'the next worker' }));
    expect(await read(asked.id)).toMatchObject({
      state: 'succeeded',
      attempt: 2,
      result: { by: 'the next worker' },
    });
  });
});
