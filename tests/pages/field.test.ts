/// <reference lib="dom" />
import { randomUUID } from 'node:crypto';
import type { Page } from 'playwright-core';
import sharp from 'sharp';
import { afterEach, expect, inject, it, vi } from 'vitest';
import type { Attachment } from '../../shared/contract/attachment.ts';
import type { Inspection } from '../../shared/contract/inspection.ts';
import type { Session } from '../../shared/contract/session.ts';
import type { StageRecord } from '../../shared/contract/stage-record.ts';
import { DEMO_PASSWORD, emailOf, seriousBarriers, sidewaysPx } from '../support/pages.ts';
import { forgetMemory, newMemory, type Phone, switchOn } from '../support/phone.ts';
import { startWeakNetwork, type WeakNetwork } from '../support/weak-network.ts';

vi.setConfig({ testTimeout: 300_000 });

const service = inject('pagesUrl');

const opened: { memory: string; network: WeakNetwork; phone: Phone | null }[] = [];

afterEach(async () => {
  for (const { memory, network, phone } of opened.splice(0)) {
    await phone?.kill();
    await network.close();
    await forgetMemory(memory);
  }
});

/** A new phone behind a line of its own, with the season of that person on it. */
async function newPhone(person: 'inspector' | 'supervisor' | 'storekeeper', deviceName: string) {
  const network = await startWeakNetwork(service);
  const memory = await newMemory();
  const started = { memory, network, phone: await switchOn(memory, `${network.url}/field`) };
  opened.push(started);
  await signIn(started.phone.page, person, deviceName);
  await started.phone.page.locator('.field-card').first().waitFor({ timeout: 60_000 });
  await seasonIsRead(started.phone.page);
  await started.phone.page.evaluate(() => navigator.serviceWorker.ready);
  return started;
}

async function signIn(page: Page, person: Parameters<typeof emailOf>[0], deviceName: string) {
  await page.locator('input[type=email]').fill(emailOf(person));
  await page.locator('input[type=password]').fill(DEMO_PASSWORD);
  await page.getByLabel('Name of this phone').fill(deviceName);
  await page.getByRole('button', { name: 'Sign in' }).click();
}

const seasonIsRead = (page: Page) =>
  page.waitForFunction(
    () => /Everything is sent/.test(document.querySelector('.standing')?.textContent ?? ''),
    undefined,
    { timeout: 120_000 },
  );

interface Kept {
  readonly recordId: string;
  readonly path: string;
  readonly state: string;
}

/** What lies in the phone's own database. */
const onPhone = (page: Page) =>
  page.evaluate(
    () =>
      new Promise<{ outbox: Kept[]; photos: { id: string; recordId: string; size: number }[] }>(
        (resolve, reject) => {
          const asked = indexedDB.open('hoopwright-field');
          asked.onerror = () => reject(asked.error);
          asked.onsuccess = () => {
            const reading = asked.result.transaction(['outbox', 'photos']);
            const outbox = reading.objectStore('outbox').getAll();
            const photos = reading.objectStore('photos').getAll();
            reading.oncomplete = () => {
              asked.result.close();
              resolve({
                outbox: outbox.result,
                photos: photos.result.map(({ id, recordId, blob }) => ({
                  id,
                  recordId,
                  size: blob.size,
                })),
              });
            };
          };
        },
      ),
  );

/** Reads from the service itself, past the phone's line. */
async function reader(person: Parameters<typeof emailOf>[0]) {
  const answer = await fetch(`${service}/v1/sessions`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ email: emailOf(person), password: DEMO_PASSWORD }),
  });
  expect(answer.status).toBe(201);
  const cookie = (answer.headers.getSetCookie()[0] ?? '').split(';')[0] ?? '';
  const signedIn = (await answer.json()) as { person: { id: string } };
  const call = async (method: string, path: string) => {
    const found = await fetch(`${service}/v1${path}`, { method, headers: { cookie } });
    expect(found.status, path).toBe(200);
    return (await found.json()) as unknown;
  };
  const all = async <Item>(path: string): Promise<Item[]> => {
    const items: Item[] = [];
    for (let cursor: string | null = ''; cursor !== null; ) {
      const more = cursor ? `&cursor=${encodeURIComponent(cursor)}` : '';
      const joined = path.includes('?') ? '&' : '?';
      const page = (await call('GET', `${path}${joined}limit=200${more}`)) as {
        items: Item[];
        nextCursor: string | null;
      };
      items.push(...page.items);
      cursor = page.nextCursor;
    }
    return items;
  };
  return { all, call, personId: signedIn.person.id };
}

const photo = async (hue: number) => ({
  name: 'wall.jpg',
  mimeType: 'image/jpeg',
  buffer: await sharp({
    create: {
      width: 3_000,
      height: 2_000,
      channels: 3,
      background: { r: hue, g: 120, b: 90 },
      noise: { type: 'gaussian', mean: 120, sigma: 40 },
    },
  })
    .jpeg()
    .toBuffer(),
});

/** Records a day of work at the stage that is shown, with photos. */
async function recordWork(page: Page, note: string, photoCount = 0) {
  const panel = page.locator('details.panel', { hasText: 'Work and materials' });
  if (!(await panel.evaluate((element) => (element as HTMLDetailsElement).open))) {
    await panel.locator('summary').click();
  }
  await panel.getByLabel('People at work').fill('4');
  await panel.getByLabel('Hours of all together').fill('30.5');
  await panel.getByLabel('Note').fill(note);
  if (photoCount > 0) {
    const pictures = await Promise.all(
      Array.from({ length: photoCount }, (_, at) => photo(at * 9)),
    );
    await panel.locator('input[type=file]').setInputFiles(pictures);
  }
  await panel.getByRole('button', { name: 'Record the work' }).click();
  await panel.getByText('Kept on this phone', { exact: true }).waitFor();
}

async function recordInspection(page: Page, note: string) {
  await page.getByRole('link', { name: 'Inspect this tank' }).click();
  // The tank is not handed over yet, so it is a visit for a reason.
  await page.getByLabel('Kind of visit').selectOption('event');
  await page.getByLabel('Condition').selectOption('needs-repair');
  await page.getByText('What lets dirt into the water').click();
  await page.getByRole('group', { name: 'Dirt in the gutters' }).getByText('It is so').click();
  await page.getByLabel('Note').fill(note);
  await page.getByRole('button', { name: 'Record the inspection' }).click();
  await page.getByText('Kept on this phone', { exact: true }).waitFor();
}

const waits = (page: Page, count: number) =>
  page.locator('.standing', { hasText: new RegExp(`\\b${count} waits? to be sent`) }).waitFor();

it('loses and doubles nothing over a field day: cut, reloaded, killed, restored, answer lost, synced', async () => {
  const started = await newPhone('inspector', 'Field day phone');
  const { network, memory } = started;
  // Overnight, so that the browser has written its cookie down.
  await started.phone.switchOff();
  started.phone = await switchOn(memory, `${network.url}/field`);
  let { page, context } = started.phone;
  await page.locator('.field-card').first().waitFor();
  const office = await reader('coordinator');
  const day = randomUUID();

  await page.locator('.field-card').first().click();
  const buildId = page.url().split('/').at(-1) ?? '';
  const before = await office.all<StageRecord>(`/builds/${buildId}/stage-records`);

  await context.setOffline(true);
  await page.reload();
  await page.locator('.standing', { hasText: 'No network' }).waitFor();
  await page.locator('.field-card[data-at-hand], .field-card').first().click();
  await recordWork(page, `${day} one`, 2);
  await recordWork(page, `${day} two`);
  await page.reload();
  await waits(page, 4);
  await recordWork(page, `${day} three`, 1);
  await page.goto(`${network.url}/field/builds/${buildId}`);
  await recordInspection(page, `${day} inspected`);
  const kept = await onPhone(page);
  expect(kept.outbox).toHaveLength(4);
  expect(kept.photos).toHaveLength(3);
  // Made smaller on the phone: a fifth of the pixels, so well below what the camera made.
  for (const { size } of kept.photos) expect(size).toBeLessThan(600_000);

  network.become('cut');
  await started.phone.kill();
  started.phone = await switchOn(memory, `${network.url}/field`);
  ({ page, context } = started.phone);
  await page.locator('.standing', { hasText: 'No network' }).waitFor();
  await waits(page, 7);
  expect(await onPhone(page)).toEqual(kept);
  await page.goto(`${network.url}/field/builds/${buildId}`);
  await page.locator('.field-card').first().click();
  await recordWork(page, `${day} four`);
  const whole = await onPhone(page);
  expect(whole.outbox).toHaveLength(5);

  // The service does it, and the phone never hears of it.
  await page.goto(`${network.url}/field/outbox`);
  network.become('answerless');
  await page.getByRole('button', { name: 'Send now' }).click();
  await vi.waitUntil(async () => (await ofDay(office, buildId, day)).length === 4, {
    timeout: 60_000,
    interval: 200,
  });
  expect((await onPhone(page)).outbox.every(({ state }) => state === 'waiting')).toBe(true);

  network.become('there');
  await page.getByRole('button', { name: 'Send now' }).click();
  await page.locator('.standing', { hasText: 'Everything is sent' }).waitFor({ timeout: 120_000 });
  const after = await onPhone(page);
  expect(after.photos).toEqual([]);
  expect(after.outbox.map(({ state }) => state)).toEqual(Array(5).fill('sent'));

  const stageIds = whole.outbox
    .filter(({ path }) => path === '/v1/stage-record-batches')
    .map(({ recordId }) => recordId);
  const records = await office.all<StageRecord>(`/builds/${buildId}/stage-records`);
  const known = new Set(before.map(({ id }) => id));
  expect(
    records
      .filter(({ id }) => !known.has(id))
      .map(({ id }) => id)
      .toSorted(),
  ).toEqual(stageIds.toSorted());
  expect((await ofDay(office, buildId, day)).map(({ note }) => note).toSorted()).toEqual(
    ['four', 'one', 'three', 'two'].map((part) => `${day} ${part}`),
  );
  const inspections = await office.all<Inspection>(`/inspections?buildId=${buildId}`);
  const mine = inspections.filter(({ note }) => note === `${day} inspected`);
  expect(mine).toHaveLength(1);
  expect(mine[0]).toMatchObject({
    condition: 'needs-repair',
    sanitaryAnswers: { 'gutters-dirty': true },
  });
  const pictures: Attachment[] = [];
  for (const id of stageIds) {
    pictures.push(
      ...(await office.all<Attachment>(`/attachments?noun=stage-record&recordId=${id}`)),
    );
  }
  expect(pictures.map(({ id }) => id).toSorted()).toEqual(
    whole.photos.map(({ id }) => id).toSorted(),
  );
});

const ofDay = async (office: Awaited<ReturnType<typeof reader>>, buildId: string, day: string) =>
  (await office.all<StageRecord>(`/builds/${buildId}/stage-records`)).filter(({ note }) =>
    note.startsWith(day),
  );

it('keeps what was recorded when the lost phone is shut out, and sends it once its person is back', async () => {
  const deviceName = `Lost ${randomUUID().slice(0, 8)}`;
  const { phone, network } = await newPhone('supervisor', deviceName);
  const { page } = phone;
  const note = `kept ${randomUUID()}`;
  await page.locator('.field-card').first().click();
  const buildId = page.url().split('/').at(-1) ?? '';
  await page.locator('.field-card').first().click();
  const stage = new URL(page.url()).pathname;
  network.become('cut');
  await recordWork(page, note);
  const admin = await reader('admin');
  const supervisor = await reader('supervisor');
  const sessions = await admin.all<Session>(`/sessions?personId=${supervisor.personId}`);
  const lost = sessions.filter((each) => each.deviceName === deviceName);
  expect(lost).toHaveLength(1);
  await admin.call('DELETE', `/sessions/${lost[0]?.id}`);
  network.become('there');
  await page.goto(`${network.url}/field/outbox`);
  await page.locator('.standing', { hasText: 'Signed out' }).waitFor();
  expect((await onPhone(page)).outbox.map(({ state }) => state)).toEqual(['waiting']);
  expect(await ofDay(supervisor, buildId, note)).toEqual([]);
  await page.goto(`${network.url}${stage}`);
  await recordWork(page, `${note} and more`);
  await signIn(page, 'supervisor', deviceName);
  await page.locator('.standing', { hasText: 'Everything is sent' }).waitFor({ timeout: 60_000 });
  expect(await ofDay(supervisor, buildId, note)).toHaveLength(2);
});

it('says that the phone is full, keeps nothing of that record, and loses nothing kept before', async () => {
  const started = await newPhone('supervisor', 'Full phone');
  const { network, memory } = started;
  let { page } = started.phone;
  await page.locator('.field-card').first().click();
  await page.locator('.field-card').first().click();
  const stage = new URL(page.url()).pathname;
  network.become('cut');
  await recordWork(page, 'before', 1);
  const before = await onPhone(page);
  await started.phone.switchOff();

  // The browser remembers how much room there was, so it has to start anew on the full phone.
  started.phone = await switchOn(memory, 'about:blank');
  ({ page } = started.phone);
  const devtools = await started.phone.context.newCDPSession(page);
  const origin = network.url;
  await devtools.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 1_000 });
  await page.goto(`${origin}${stage}`);
  const panel = page.locator('details.panel', { hasText: 'Work and materials' });
  await panel.locator('summary').click();
  await panel.getByLabel('People at work').fill('3');
  await panel.getByLabel('Hours of all together').fill('12');
  await panel.getByLabel('Note').fill('too much');
  await panel.locator('input[type=file]').setInputFiles([await photo(3), await photo(7)]);
  await panel.getByRole('button', { name: 'Record the work' }).click();
  await panel.getByText('The phone is full: this was not kept').waitFor();
  expect(await onPhone(page)).toEqual(before);
  // What was typed is still there: with room again one press keeps it.
  expect(await panel.getByLabel('Note').inputValue()).toBe('too much');
  await devtools.send('Storage.overrideQuotaForOrigin', { origin });
  await panel.getByRole('button', { name: 'Record the work' }).click();
  await panel.getByText('Kept on this phone', { exact: true }).waitFor();
  const after = await onPhone(page);
  expect(after.outbox).toHaveLength(2);
  expect(after.photos).toHaveLength(3);
});

it('shows a refusal with its reason and lets the person decide', async () => {
  const { phone, network } = await newPhone('storekeeper', 'Store phone');
  const { page } = phone;
  await page.goto(`${network.url}/field/store`);
  await page.getByLabel('Build', { exact: true }).selectOption({ index: 1 });
  await page.getByLabel('Material', { exact: true }).selectOption({ index: 1 });
  await page.getByLabel(/^Quantity/).fill('999999');
  await page.getByText('More than the store held').waitFor();
  await page.getByRole('button', { name: 'Record the issue' }).click();
  await page.locator('.standing', { hasText: '1 was refused' }).waitFor();
  await page.goto(`${network.url}/field/outbox`);
  const item = page.locator('li[data-state=refused]');
  expect(await item.locator('.notice').textContent()).toMatch(/\S+/);
  await item.getByRole('button', { name: 'Try again' }).click();
  await item.getByRole('button', { name: 'Take it off the phone' }).click();
  await item.getByText('It was not sent and will be gone').waitFor();
  await item.getByRole('button', { name: 'Take it off the phone' }).click();
  await page.getByText('Nothing was recorded on this phone yet').waitFor();
  expect((await onPhone(page)).outbox).toEqual([]);
});

it('fits a narrow phone in light and dark, and has no serious barrier', async () => {
  const { phone, network } = await newPhone('inspector', 'Looked at');
  const { page } = phone;
  await page.locator('.field-card').first().click();
  const build = new URL(page.url()).pathname;
  await page.locator('.field-card').first().click();
  const stage = new URL(page.url()).pathname;
  const paths = ['/field', build, stage, `${build}/inspection`, '/field/store', '/field/outbox'];
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme });
    for (const path of [...paths, '/field/phone']) {
      await page.goto(`${network.url}${path}`);
      await page.locator('main h1, main .empty').first().waitFor();
      expect(await sidewaysPx(page), path).toBe(0);
      expect(await seriousBarriers(page), `${path} ${colorScheme}`).toEqual([]);
    }
  }
});
