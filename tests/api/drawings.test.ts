import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { checkTank } from '../../shared/design/check-tank.ts';
import { drawnTexts, words } from '../engine/drawing/drawn-text.ts';
import { makeRevision, makeSeason, type Season, tankInput } from '../support/season.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let season: Season;

beforeAll(async () => {
  service = await startTestService();
  season = await makeSeason(service);
});
afterAll(() => service.close());

const drawing = (revisionId: string, query = '', person: TestPerson = season.coordinator) =>
  service.http
    .get(`/v1/design-revisions/${revisionId}/drawing.svg${query}`)
    .set(person.auth)
    .buffer(true)
    .parse((response, done) => {
      const chunks: Buffer[] = [];
      response.on('data', (chunk: Buffer) => chunks.push(chunk));
      response.on('end', () => done(null, Buffer.concat(chunks).toString('utf8')));
    });

const svgOf = async (revisionId: string, query = ''): Promise<string> =>
  (await drawing(revisionId, query).expect(200)).body as string;

describe('the drawing of a design revision', () => {
  it('is a file of one sheet with the figures that the revision keeps', async () => {
    const revisionId = await makeRevision(service, season, tankInput(), { approve: false });
    const answer = await drawing(revisionId).expect(200);
    expect(answer.headers['content-type']).toBe('image/svg+xml');
    expect(answer.headers['content-disposition']).toMatch(
      /^attachment; filename="T-\w+-revision-1-sheet-1.svg"/,
    );
    expect(answer.headers['content-security-policy']).toBe("default-src 'none'; sandbox");
    const text = words(answer.body as string);
    const { bands } = checkTank(tankInput());
    for (const band of bands) {
      const level = Math.round(band.levelBelowWaterM * 1000);
      expect(text).toContain(` ${level} ${Math.round(band.heightAboveFloorM * 1000)} `);
      expect(text).toContain(` ${(band.loadN / 1000).toFixed(2)} `);
    }
    expect(text).toContain('Undecided: no engineer has approved this revision.');
    expect(text).toContain('Not for construction unless approved by a licensed engineer.');
  });

  it('has the sheets that it says it has, and no others', async () => {
    const revisionId = await makeRevision(service, season);
    const first = await svgOf(revisionId);
    const count = Number(/data-sheets="(\d+)"/.exec(first)?.[1]);
    expect(count).toBeGreaterThanOrEqual(4);
    for (let sheet = 1; sheet <= count; sheet += 1) {
      const svg = await svgOf(revisionId, `?sheet=${sheet}`);
      expect(drawnTexts(svg).map(({ text }) => text)).toContain(`Sheet ${sheet} of ${count}, A4`);
    }
    expectProblem(await jsonOf(revisionId, `?sheet=${count + 1}`), 404, 'not-found');
    for (const query of ['?sheet=0', '?sheet=1.5', '?sheet=a', '?page=1']) {
      expect((await jsonOf(revisionId, query)).status).toBe(422);
    }
  });

  it('says who decided what and when', async () => {
    const revisionId = await makeRevision(service, season);
    const [, date] = /^(\d{4}-\d\d-\d\d)T/.exec(await decidedAt(revisionId)) ?? [];
    expect(words(await svgOf(revisionId))).toContain(
      `Approved on ${date} by Test engineer, registration REG-0001.`,
    );
    await service.http
      .post(`/v1/design-revisions/${revisionId}/decisions`)
      .set(season.engineer.auth)
      .send({ decision: 'withdrawn' })
      .expect(201);
    expect(words(await svgOf(revisionId))).toContain('Approval withdrawn on');
  });

  it('says so when the recipe of its kind has changed since', async () => {
    const own = await makeSeason(service);
    const revisionId = await makeRevision(service, own);
    const all = async () => {
      const sheets = await Promise.all(
        [1, 2, 3, 4].map((sheet) =>
          drawing(revisionId, `?sheet=${sheet}`, own.coordinator).expect(200),
        ),
      );
      return sheets.map(({ body }) => words(body as string)).join(' ');
    };
    expect(await all()).not.toContain('has changed since this revision');
    const kind = await service.http
      .get(`/v1/tank-kinds/${own.tankKindId}`)
      .set(own.coordinator.auth)
      .expect(200);
    const { recipe } = kind.body;
    await service.http
      .patch(`/v1/tank-kinds/${own.tankKindId}`)
      .set(own.coordinator.auth)
      .set('if-match', kind.headers.etag ?? '')
      .send({ recipe: { ...recipe, bands: { ...recipe.bands, lapM: 0.2 } } })
      .expect(200);
    const text = await all();
    expect(text).toContain('has changed since this revision');
    expect(text).toContain('lap 200 mm');
  });

  it('shows a hostile name of a design as text', async () => {
    const design = await service.http
      .post('/v1/tank-designs')
      .set(season.coordinator.auth)
      .send({
        code: 'D-hostile',
        name: '</text><script>alert(1)</script>',
        tankKindId: season.tankKindId,
      })
      .expect(201);
    const revision = await service.http
      .post(`/v1/tank-designs/${design.body.id}/revisions`)
      .set(season.coordinator.auth)
      .send({ input: tankInput() })
      .expect(201);
    const svg = await svgOf(revision.body.id);
    expect(svg).not.toContain('<script');
    expect(words(svg)).toContain('</text><script>alert(1)</script>');
  });

  it('is there for readers of the organisation alone', async () => {
    const revisionId = await makeRevision(service, season);
    const stranger = await service.person(['coordinator']);
    expectProblem(await jsonOf(revisionId, '', stranger), 404, 'not-found');
    expectProblem(await jsonOf(randomUUID()), 404, 'not-found');
    const address = `/v1/design-revisions/${revisionId}/drawing.svg`;
    expectProblem(await service.http.get(address), 401, 'unauthenticated');
    const donor = await service.person(['donor'], season.coordinator.organisationId);
    expectProblem(await jsonOf(revisionId, '', donor), 403, 'forbidden');
  });
});

const jsonOf = (revisionId: string, query = '', person: TestPerson = season.coordinator) =>
  service.http.get(`/v1/design-revisions/${revisionId}/drawing.svg${query}`).set(person.auth);

const decidedAt = async (revisionId: string): Promise<string> =>
  (
    await service.http
      .get(`/v1/design-revisions/${revisionId}`)
      .set(season.coordinator.auth)
      .expect(200)
  ).body.decisions[0].decidedAt;
