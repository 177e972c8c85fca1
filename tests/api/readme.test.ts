import { readFileSync } from 'node:fs';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { addDays } from '../../shared/units/calendar.ts';
import { buildDemoSeason } from '../../src/demo/build-season.ts';
import { startWorker, type Worker } from '../../src/jobs/worker.ts';
import { ReadmeNames, type ReadmeStep, readmeSteps } from '../support/readme-job.ts';
import { startTestService, type TestService } from '../support/service.ts';

const TODAY = '2026-11-25';
const PASSWORD = 'password-of-the-readme-test';
const clock = { now: () => new Date(`${TODAY}T08:00:00Z`), today: () => TODAY };

const readme = readFileSync('README.md', 'utf8');
const fieldRecords = readFileSync('docs/field-records.md', 'utf8');
const seasonOfMaterials = readFileSync('docs/season-of-materials.md', 'utf8');

let service: TestService;
let worker: Worker;

beforeAll(async () => {
  service = await startTestService({ clock });
  await buildDemoSeason(service.db, clock, PASSWORD, () => undefined);
  worker = await startWorker(service);
}, 300_000);
afterAll(async () => {
  await worker?.stop();
  await service.close();
});

describe('the README', () => {
  it('stays under 150 lines', () => {
    expect(readme.split('\n').length).toBeLessThanOrEqual(150);
  });

  it('works its main job on the demo season, request by request', async () => {
    expect(await workThrough(readme)).toBeGreaterThan(15);
  });
});

describe('the season of materials', () => {
  it('goes from needs to a paid invoice on the demo season, request by request', async () => {
    expect(await workThrough(seasonOfMaterials)).toBeGreaterThan(30);
  });
});

describe('the field records', () => {
  it('come late, are decided about and listed on the demo season, request by request', async () => {
    expect(await workThrough(fieldRecords)).toBeGreaterThan(15);
  });
});

/** Sends every request of a page, each answer compared with what stands below it. Returns how many. */
async function workThrough(page: string): Promise<number> {
  const steps = readmeSteps(page);
  const names = new ReadmeNames({ TODAY, LATER: addDays(TODAY, 21), DEMO_PASSWORD: PASSWORD });
  let cookie = '';

  async function send({ method, path, contentType, body }: ReadmeStep) {
    const answer = await service.app.inject({
      method: method as 'GET',
      url: names.fill(path),
      headers: { cookie, ...(body === null ? {} : { 'content-type': contentType }) },
      ...(body === null ? {} : { payload: names.fill(body) }),
    });
    const set = answer.cookies.map(({ name, value }) => `${name}=${value}`);
    if (set.length > 0) cookie = set.join('; ');
    return answer;
  }

  for (const step of steps) {
    const expected = names.expectation(step.expected);
    let answer = await send(step);
    for (let tried = 0; step.repeats && tried < 2_400; tried++) {
      if (names.differences(expected, answer.json()).length === 0) break;
      await pause(50);
      answer = await send(step);
    }
    const where = `${step.method} ${step.path}\n${answer.body.slice(0, 1_500)}`;
    expect(answer.statusCode, where).toBe(step.status);
    expect(names.differences(expected, answer.json()), where).toEqual([]);
  }
  return steps.length;
}
