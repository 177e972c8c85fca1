import { createHash } from 'node:crypto';
import ICAL from 'ical.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { calendarFeed, issuedCalendarFeed } from '../../shared/contract/calendar-feed.ts';
import { loggedRequest } from '../../src/http/logged-request.ts';
import { makePlannedSeason } from '../support/planned-season.ts';
import { publishPlan, type StageOfPlan } from '../support/published-plan.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
});
afterAll(() => service.close());

/** Events by UID, read by a parser of another make than the writer. */
function eventsOf(text: string) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  const events = calendar.getAllSubcomponents('vevent').map((vevent) => new ICAL.Event(vevent));
  return new Map(events.map((event) => [event.uid, event]));
}
type Events = ReturnType<typeof eventsOf>;

const statusOf = (events: Events, uid: string) =>
  events.get(uid)?.component.getFirstPropertyValue('status');
const uidOf = (buildId: string, stageCode: string) =>
  `${buildId}.${stageCode}@season-plan.hoopwright`;

async function makeSeason() {
  const season = await makePlannedSeason(service, coordinator, { villages: 1, buildsEach: 2 });
  const [first = '', second = ''] = season.buildIds.flat();
  const [mine = '', other = ''] = season.crewIds;
  const slab = (buildId: string, crewId: string): StageOfPlan => ({
    buildId,
    stageCode: 'slab',
    crewId,
    startsOn: '2031-01-30',
    finishesOn: '2031-01-31',
  });
  const wall = (buildId: string, crewId: string): StageOfPlan => ({
    buildId,
    stageCode: 'wall',
    crewId,
    startsOn: '2031-02-28',
    finishesOn: '2031-03-03',
  });
  const publish = (stages: readonly StageOfPlan[], publishedAt?: string) =>
    publishPlan(service, coordinator, season.programmeId, stages, publishedAt);
  return { ...season, first, second, mine, other, slab, wall, publish };
}

const download = (crewId: string, who = coordinator) =>
  service.http.get(`/v1/crews/${crewId}/calendar.ics`).set(who.auth);

async function calendarOf(crewId: string): Promise<string> {
  const answer = await download(crewId).expect(200);
  return answer.text;
}

const issue = (crewId: string, who = coordinator) =>
  service.http.post(`/v1/crews/${crewId}/calendar-feeds`).set(who.auth);

describe('the calendar of a crew', () => {
  it('has one all-day event for each stage that the published plan gives the crew', async () => {
    const season = await makeSeason();
    const { first, second, mine, other, slab, wall } = season;
    await season.publish([slab(first, mine), wall(first, mine), slab(second, other)]);
    const answer = await download(mine).expect(200);
    expect(answer.headers['content-type']).toBe('text/calendar; charset=utf-8');
    expect(answer.headers['content-disposition']).toContain('.ics');
    const events = eventsOf(answer.text);
    expect([...events.keys()].sort()).toEqual([uidOf(first, 'slab'), uidOf(first, 'wall')].sort());
    const work = events.get(uidOf(first, 'wall'));
    expect(work?.startDate).toMatchObject({ year: 2031, month: 2, day: 28, isDate: true });
    // RFC 5545 3.6.1: DTEND is the first day that no longer belongs to the event.
    expect(work?.endDate).toMatchObject({ year: 2031, month: 3, day: 4, isDate: true });
    expect(work?.sequence).toBe(1);
    expect(statusOf(events, uidOf(first, 'wall'))).toBe('CONFIRMED');
    expect(work?.component.getFirstPropertyValue('transp')).toBe('OPAQUE');
    for (const name of ['dtstamp', 'last-modified']) {
      expect(String(work?.component.getFirstPropertyValue(name)), name).toBe(
        '2031-01-02T08:00:00Z',
      );
    }
    expect(work?.location).toBe('Village, North');
    expect(work?.summary).toMatch(/ wall, Village$/);
    expect(events.get(uidOf(first, 'slab'))?.description).toContain('Then it waits 3 days');
  });

  it('folds long lines, escapes what text may hold, and says what stands in the template', async () => {
    const season = await makeSeason();
    const { first, mine, slab } = season;
    const caution = `Wet cement burns; gloves, boots \\ eye wash: ${'long words of a caution '.repeat(8)}ñandú 壁`;
    await service.as(coordinator, async (tx) => {
      await tx.sql(
        `update tank_kind set stages = jsonb_set(jsonb_set(jsonb_set(jsonb_set(stages, '{0,cautions}', $2::jsonb),
           '{0,needs}', '["cement, sand; stone"]'), '{0,holdPoint}', '"hold"'), '{0,releasedBy}', '"inspector"')
         where id = $1`,
        [season.like.tankKindId, JSON.stringify([caution])],
      );
      await tx.sql('update village set name = $2 where id = $1', [
        season.villageIds[0],
        'Upper; Mill, "Old"\nFord',
      ]);
    });
    await season.publish([slab(first, mine)]);
    const text = await calendarOf(mine);
    const lines = text.split('\r\n');
    expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    // RFC 5545 3.1: lines of text SHOULD NOT be longer than 75 octets.
    for (const line of lines) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
    const event = eventsOf(text).get(uidOf(first, 'slab'));
    expect(event?.description).toContain(`Caution: ${caution}`);
    expect(event?.description).toContain('Needs first: cement, sand; stone.');
    expect(event?.description).toContain('nothing goes on before the inspector releases it');
    expect(event?.location).toBe('Upper; Mill, "Old"\nFord, North');
  });

  it('keeps UIDs over a re-publication and cancels what moved to another crew', async () => {
    const season = await makeSeason();
    const { first, second, mine, other, slab, wall } = season;
    await season.publish([slab(first, mine), wall(first, mine), slab(second, mine)]);
    const before = eventsOf(await calendarOf(mine));
    const moved = { ...slab(first, mine), startsOn: '2031-02-04', finishesOn: '2031-02-05' };
    await season.publish([moved, wall(first, other), slab(second, mine)], '2031-01-20T09:30:00Z');
    const after = eventsOf(await calendarOf(mine));
    expect([...after.keys()].sort()).toEqual([...before.keys()].sort());
    const [slabUid, wallUid] = [uidOf(first, 'slab'), uidOf(first, 'wall')];
    expect(after.get(slabUid)?.startDate.toString()).toBe('2031-02-04');
    expect(after.get(slabUid)?.sequence).toBe(2);
    expect(statusOf(after, slabUid)).toBe('CONFIRMED');
    expect(statusOf(after, wallUid)).toBe('CANCELLED');
    expect(after.get(wallUid)?.sequence).toBe(2);
    expect(after.get(wallUid)?.startDate.toString()).toBe('2031-02-28');
    expect(String(after.get(wallUid)?.component.getFirstPropertyValue('last-modified'))).toBe(
      '2031-01-20T09:30:00Z',
    );
    expect([...eventsOf(await calendarOf(other)).keys()]).toEqual([wallUid]);
    // Given back, it is there again, later in sequence than its cancellation.
    await season.publish([slab(first, mine), wall(first, mine), slab(second, mine)]);
    const back = eventsOf(await calendarOf(mine));
    expect(statusOf(back, wallUid)).toBe('CONFIRMED');
    expect(back.get(wallUid)?.sequence).toBe(3);
    expect(statusOf(eventsOf(await calendarOf(other)), wallUid)).toBe('CANCELLED');
  });

  it('cancels the events of a build that was cancelled', async () => {
    const season = await makeSeason();
    const { first, second, mine, slab } = season;
    await season.publish([slab(first, mine), slab(second, mine)]);
    await service.as(coordinator, (tx) =>
      tx.sql(`update build set cancelled_on = '2031-01-15', status = 'cancelled' where id = $1`, [
        first,
      ]),
    );
    const events = eventsOf(await calendarOf(mine));
    expect(statusOf(events, uidOf(first, 'slab'))).toBe('CANCELLED');
    expect(events.get(uidOf(first, 'slab'))?.sequence).toBe(2);
    expect(statusOf(events, uidOf(second, 'slab'))).toBe('CONFIRMED');
  });

  it('is a calendar without events while no plan is published', async () => {
    const season = await makeSeason();
    expect(eventsOf(await calendarOf(season.mine)).size).toBe(0);
  });
});

describe('a calendar feed', () => {
  it('is read by its address alone, which only a hash of is kept', async () => {
    const season = await makeSeason();
    const { first, mine, slab } = season;
    await season.publish([slab(first, mine)]);
    const feed = issuedCalendarFeed.parse((await issue(mine).expect(201)).body);
    const address = feed.address ?? '';
    const answer = await service.http.get(address).expect(200);
    expect(answer.headers['content-type']).toBe('text/calendar; charset=utf-8');
    expect(answer.headers['cache-control']).toBe('private, max-age=900');
    expect(answer.text).toBe(await calendarOf(mine));
    const token = address.split('/')[3] ?? '';
    const [row] = await service.as(coordinator, (tx) =>
      tx.sql<{ row: string }>(
        'select to_jsonb(f)::text as row from calendar_feed f where f.id = $1',
        [feed.id],
      ),
    );
    expect(row?.row).not.toContain(token.split('.')[1]);
    expect(row?.row).toContain(createHash('sha256').update(token).digest('hex'));
    expect(loggedRequest({ method: 'GET', url: `${address}?x=1` })).toEqual({
      method: 'GET',
      path: '/v1/calendar-feeds/.../calendar.ics',
    });
  });

  it('answers 304 while nothing changed, and anew when a plan is published', async () => {
    const season = await makeSeason();
    const { first, mine, slab, wall } = season;
    await season.publish([slab(first, mine)]);
    const { address } = (await issue(mine).expect(201)).body;
    const read = await service.http.get(address).expect(200);
    const etag = read.headers.etag ?? '';
    await service.http.get(address).set('if-none-match', etag).expect(304);
    await season.publish([slab(first, mine), wall(first, mine)]);
    const anew = await service.http.get(address).set('if-none-match', etag).expect(200);
    expect(anew.headers.etag).not.toBe(etag);
    expect(eventsOf(anew.text).size).toBe(2);
  });

  it('is listed without its address and answers no more once revoked', async () => {
    const { mine } = await makeSeason();
    const { id, address } = (await issue(mine).expect(201)).body;
    await issue(mine).expect(201);
    const list = await service.http
      .get(`/v1/crews/${mine}/calendar-feeds?limit=1`)
      .set(coordinator.auth)
      .expect(200);
    expect(list.body.nextCursor).not.toBeNull();
    const rest = await service.http
      .get(`/v1/crews/${mine}/calendar-feeds?cursor=${list.body.nextCursor}`)
      .set(coordinator.auth)
      .expect(200);
    expect(rest.body.items.map(calendarFeed.parse)).toEqual([expect.objectContaining({ id })]);
    expect(JSON.stringify(rest.body)).not.toContain(address);
    const revoke = () =>
      service.http.post(`/v1/calendar-feeds/${id}/revocations`).set(coordinator.auth);
    const revoked = calendarFeed.parse((await revoke().expect(201)).body);
    expect(revoked.revokedAt).not.toBeNull();
    expectProblem(await service.http.get(address), 404, 'not-found');
    expect((await revoke().expect(201)).body.revokedAt).toBe(revoked.revokedAt);
  });

  it('answers its address once: a repeated key gets none, and makes no second feed', async () => {
    const { mine } = await makeSeason();
    const first = await issue(mine).set('idempotency-key', 'feed-once-1').expect(201);
    expect(first.body.address).toMatch(
      /^\/v1\/calendar-feeds\/[\w-]{22}\.[\w-]{43}\/calendar\.ics$/,
    );
    const again = await issue(mine).set('idempotency-key', 'feed-once-1').expect(201);
    expect(again.body).toEqual({ ...first.body, address: null });
  });

  it('says the same of an unknown, a foreign and a garbled address', async () => {
    const { mine } = await makeSeason();
    const { address } = (await issue(mine).expect(201)).body;
    const stranger = await service.person(['coordinator']);
    const [organisation, secret] = (address.split('/')[3] ?? '').split('.');
    const foreign = Buffer.from(stranger.organisationId.replaceAll('-', ''), 'hex');
    const garbled = [
      `${foreign.toString('base64url')}.${secret}`,
      `${organisation}.${'A'.repeat(43)}`,
      `${'_'.repeat(22)}.${secret}`,
      `${organisation}.`,
      'made-up',
    ];
    const details = new Set<string | undefined>();
    for (const token of garbled) {
      const answer = await service.http.get(`/v1/calendar-feeds/${token}/calendar.ics`);
      details.add(expectProblem(answer, 404, 'not-found').detail);
    }
    expect(details.size).toBe(1);
  });

  it('is made by those who plan builds, for crews of their own organisation', async () => {
    const { mine } = await makeSeason();
    const organisationId = coordinator.organisationId;
    const supervisor = await service.person(['supervisor'], organisationId);
    expectProblem(await issue(mine, supervisor), 403, 'forbidden');
    await download(mine, supervisor).expect(200);
    const stranger = await service.person(['coordinator']);
    expectProblem(await issue(mine, stranger), 404, 'not-found');
    expectProblem(await download(mine, stranger), 404, 'not-found');
  });
});
