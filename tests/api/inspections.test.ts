import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { makeBuild } from '../support/factories.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const clock = { now: () => new Date('2026-11-25T08:00:00Z'), today: () => '2026-11-25' };

let service: TestService;
let inspector: TestPerson;

beforeAll(async () => {
  service = await startTestService({ clock });
  inspector = await service.person(['inspector']);
});
afterAll(() => service.close());

async function handedOverBuild(handedOverOn = '2026-09-01') {
  const made = await makeBuild(service, inspector);
  await service.as(inspector, (tx) =>
    tx.sql(`update build set status = 'handed-over', handed_over_on = $2 where id = $1`, [
      made.buildId,
      handedOverOn,
    ]),
  );
  return made;
}

const visit = {
  kind: 'after-building',
  inspectedOn: '2026-10-01',
  condition: 'needs-repair',
  waterDepthM: 1.2,
  sanitaryAnswers: { 'tap-faulty': true, 'roof-dirty': false },
  findings: [
    {
      part: 'wall',
      severity: 'danger',
      description: 'Crack along the lowest band',
      measuredValue: 0.3,
      measuredUnit: 'mm',
      actions: [{ description: 'Draw down and call the engineer', dueOn: '2026-10-02' }],
    },
  ],
};

const record = (buildId: string, body: object) =>
  service.http.post(`/v1/builds/${buildId}/inspections`).set(inspector.auth).send(body);

describe('inspections', () => {
  it('keeps a visit with findings, actions and cautions', async () => {
    const { buildId } = await handedOverBuild();
    const made = await record(buildId, visit).expect(201);
    expect(made.body).toMatchObject({
      condition: 'needs-repair',
      sanitaryRisks: { riskCount: 1, unansweredCount: 8 },
      findings: [{ severity: 'danger', actions: [{ dueOn: '2026-10-02', closedOn: null }] }],
    });
    expect(made.body.cautions[0]).toMatch(/licensed engineer/);
    expect(JSON.stringify(made.body)).not.toMatch(/safe to drink/i);
    const read = await service.http
      .get(made.headers.location as string)
      .set(inspector.auth)
      .expect(200);
    expect(read.body).toEqual(made.body);
  });

  it('refuses a visit after building that lies before the handover, or without one', async () => {
    const { buildId } = await handedOverBuild('2026-10-05');
    expect(expectProblem(await record(buildId, visit), 422, 'rule-broken').rule).toBe(
      'build-not-complete',
    );
    const unfinished = await makeBuild(service, inspector);
    expect(expectProblem(await record(unfinished.buildId, visit), 422, 'rule-broken').rule).toBe(
      'build-not-complete',
    );
    await record(unfinished.buildId, { ...visit, kind: 'event' }).expect(201);
  });

  it('refuses a danger without an action, an action due before the visit, and a visit to come', async () => {
    const { buildId } = await handedOverBuild();
    const [finding] = visit.findings;
    const without = { ...visit, findings: [{ ...finding, actions: [] }] };
    expect(
      expectProblem(await record(buildId, without), 422, 'invalid-content').errors?.[0]?.pointer,
    ).toBe('/findings/0/actions');
    const early = {
      ...visit,
      findings: [{ ...finding, actions: [{ description: 'x', dueOn: '2026-09-30' }] }],
    };
    expect(
      expectProblem(await record(buildId, early), 422, 'invalid-content').errors?.[0]
        ?.rejectedValue,
    ).toBe('2026-09-30');
    const rows = await service.as(inspector, (tx) =>
      tx.sql('select 1 from inspection where build_id = $1', [buildId]),
    );
    expect(rows).toEqual([]);
    expectProblem(
      await record(buildId, { ...visit, inspectedOn: '2026-11-26' }),
      422,
      'invalid-content',
    );
  });

  it('lists due actions first and closes one once', async () => {
    const { buildId } = await handedOverBuild();
    await record(buildId, visit).expect(201);
    const due = await service.http
      .get(`/v1/corrective-actions?isOpen=true&dueBy=2026-10-02&buildId=${buildId}`)
      .set(inspector.auth)
      .expect(200);
    expect(due.body.items).toHaveLength(1);
    const close = () =>
      service.http
        .post(`/v1/corrective-actions/${due.body.items[0].id}/closures`)
        .set(inspector.auth)
        .send({ closedOn: '2026-10-03', closingNote: 'Band replaced, test repeated' });
    expect((await close().expect(201)).body.closedOn).toBe('2026-10-03');
    expect(expectProblem(await close(), 422, 'rule-broken').rule).toBe('action-closed');
  });

  it('counts a visit sent twice once, and pages through visits', async () => {
    const { buildId } = await handedOverBuild();
    const sent = { ...visit, id: randomUUID() };
    await record(buildId, sent).expect(201);
    await record(buildId, sent).expect(201);
    await record(buildId, { ...visit, inspectedOn: '2026-10-09', findings: [] }).expect(201);
    const first = await service.http
      .get(`/v1/inspections?buildId=${buildId}&limit=1`)
      .set(inspector.auth);
    const second = await service.http
      .get(`/v1/inspections?buildId=${buildId}&limit=1&cursor=${first.body.nextCursor}`)
      .set(inspector.auth);
    expect([first, second].map((page) => page.body.items[0].inspectedOn)).toEqual([
      '2026-10-09',
      '2026-10-01',
    ]);
    expect(second.body.nextCursor).toBeNull();
  });
});
