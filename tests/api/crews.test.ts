import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;
let made: ReturnType<typeof recordsOf>;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
  made = recordsOf(service, coordinator);
});
afterAll(() => service.close());

const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);
const post = (path: string, body: object, who = coordinator) =>
  service.http.post(`/v1/${path}`).set(who.auth).send(body);
const patch = (path: string, version: number, body: object) =>
  service.http
    .patch(`/v1/${path}`)
    .set(coordinator.auth)
    .set('if-match', `"v${version}"`)
    .send(body);

describe('crews', () => {
  it('lists the crews of one programme', async () => {
    const village = await made.village();
    const crew = await made.crew({ homeVillageId: village.id });
    await made.crew();
    const { body } = await get(`crews?programmeId=${crew.programmeId}`).expect(200);
    expect(body.items).toEqual([crew]);
    const moved = await patch(`crews/${crew.id}`, 1, { homeVillageId: null, size: 6 }).expect(200);
    expect(moved.body).toMatchObject({ homeVillageId: null, size: 6 });
  });

  it('refuses nobody, and a programme that does not exist', async () => {
    const programme = await made.programme();
    const body = { programmeId: programme.id, code: 'C', name: 'Crew', size: 0 };
    const none = expectProblem(await post('crews', body), 422, 'invalid-content');
    expect(none.errors?.[0]).toMatchObject({ pointer: '/size', rejectedValue: 0 });
    const programmeId = '01890000-0000-7000-8000-000000000000';
    const unknown = await post('crews', { ...body, size: 4, programmeId });
    const { errors } = expectProblem(unknown, 422, 'invalid-content');
    expect(errors?.[0]?.pointer).toBe('/programmeId');
  });
});
