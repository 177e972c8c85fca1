import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type AuditEntry, auditEntry } from '../../shared/contract/audit-entry.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let admin: TestPerson;
let colleague: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  admin = await service.person(['admin']);
  colleague = await service.person(['integrator'], admin.organisationId);
  for (const name of ['one', 'two', 'three']) await makeToken(admin, name);
  await makeToken(colleague, 'four');
});
afterAll(() => service.close());

const makeToken = (by: TestPerson, name: string) =>
  service.http.post('/v1/api-tokens').set(by.auth).send({ name }).expect(201);
const list = (query = '', by = admin) => service.http.get(`/v1/audit-entries${query}`).set(by.auth);
const names = (items: AuditEntry[]) => items.map(({ detail }) => detail.name);

describe('the audit trail', () => {
  it('tells who did what to which record, the newest first', async () => {
    const { body } = await list().expect(200);
    const items = body.items.map((item: unknown) => auditEntry.parse(item)) as AuditEntry[];
    expect(names(items)).toEqual(['four', 'three', 'two', 'one']);
    expect(items[0]).toMatchObject({
      action: 'create',
      noun: 'api-token',
      personId: colleague.personId,
      detail: { name: 'four', expiresAt: null },
    });
    expect(items[0]?.requestId).not.toBeNull();
  });

  it('is narrowed by noun, record and person, and paged', async () => {
    const mine = await list(`?personId=${admin.personId}`).expect(200);
    expect(names(mine.body.items)).toEqual(['three', 'two', 'one']);
    const [newest] = mine.body.items as AuditEntry[];
    const one = await list(`?noun=api-token&recordId=${newest?.recordId}`).expect(200);
    expect(names(one.body.items)).toEqual(['three']);
    expect((await list('?noun=donor').expect(200)).body.items).toEqual([]);
    const found: unknown[] = [];
    let cursor: string | null = '';
    for (let page = 0; page < 2 && cursor !== null; page++) {
      const after: string = cursor ? `&cursor=${cursor}` : '';
      const { body } = await list(`?limit=2&noun=api-token${after}`).expect(200);
      found.push(...names(body.items));
      cursor = body.nextCursor;
    }
    expect(found).toEqual(['four', 'three', 'two', 'one']);
    expect(cursor).toBeNull();
  });

  it('is read by administrators of the organisation only', async () => {
    const coordinator = await service.person(['coordinator'], admin.organisationId);
    expectProblem(await list('', coordinator), 403, 'forbidden');
    const stranger = await service.person(['admin']);
    expect((await list('', stranger).expect(200)).body.items).toEqual([]);
    const { body } = await list('?limit=2').expect(200);
    const foreign = await list(`?limit=2&cursor=${body.nextCursor}`, stranger);
    expectProblem(foreign, 422, 'invalid-content');
  });

  it('cannot be changed or removed with the rights of the service', async () => {
    for (const statement of [
      `update audit_entry set action = 'nothing'`,
      'delete from audit_entry',
      'truncate audit_entry',
    ]) {
      await expect(service.as(admin, (tx) => tx.sql(statement))).rejects.toMatchObject({
        code: '42501',
      });
    }
    expect(names((await list().expect(200)).body.items)).toHaveLength(4);
  });

  it('writes nothing of what did not happen', async () => {
    const before = (await list().expect(200)).body.items.length;
    const past = { name: 'five', expiresAt: '2020-01-01T00:00:00Z' };
    await service.http.post('/v1/api-tokens').set(admin.auth).send(past).expect(422);
    const failing = service.as(admin, async (tx) => {
      await tx.audit('create', 'nothing', 'x');
      throw new Error('after all');
    });
    await expect(failing).rejects.toThrow('after all');
    expect((await list().expect(200)).body.items).toHaveLength(before);
  });
});
