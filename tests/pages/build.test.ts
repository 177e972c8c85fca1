import sharp from 'sharp';
import { expect, it } from 'vitest';
import type { BuildBill } from '../../shared/contract/bill.ts';
import type { Build } from '../../shared/contract/build.ts';
import type { BuildProgress, StageRecord } from '../../shared/contract/stage-record.ts';
import { useBrowser } from '../support/pages.ts';

const { visitAs } = useBrowser();

type Get = <Body>(path: string) => Promise<Body>;

async function buildWith(get: Get, status: string): Promise<Build> {
  const { items } = await get<{ items: Build[] }>(`/builds?limit=1&status=${status}`);
  const [found] = items;
  if (!found) throw new Error(`The demonstration has no build that is ${status}`);
  return found;
}

it('shows every stage with its state, and what was measured against its limits', async () => {
  const { page, get, faults, close } = await visitAs('coordinator', '/about');
  const build = await buildWith(get, 'on-hold');
  const progress = await get<BuildProgress>(`/builds/${build.id}/progress`);
  await page.goto(`/builds/${build.id}`);
  await page.getByRole('heading', { name: `Build ${build.code}` }).waitFor();
  const stages = page.locator('.stages > li');
  expect(await stages.count()).toBe(progress.stages.length);
  for (const [index, stage] of progress.stages.entries()) {
    const item = stages.nth(index);
    expect(await item.textContent()).toContain(stage.title);
    for (const caution of stage.cautions) expect(await item.textContent()).toContain(caution);
    for (const check of stage.checks) expect(await item.textContent()).toContain(check.title);
  }
  const outside = progress.stages.flatMap(({ readings }) =>
    readings.filter(({ isWithinLimits }) => !isWithinLimits),
  );
  expect(await page.locator('.stages').getByText('Outside limits').count()).toBe(outside.length);
  expect(faults).toEqual([]);
  await close();
});

it('shows the bill to the cent and the whole history', async () => {
  const { page, get, close } = await visitAs('coordinator', '/about');
  const build = await buildWith(get, 'handed-over');
  const bill = await get<BuildBill>(`/builds/${build.id}/bill`);
  await page.goto(`/builds/${build.id}`);
  await page.getByText(`Has to be paid: USD\u00a0${bill.amount.amount}`).waitFor();
  const records = await get<{ items: StageRecord[] }>(
    `/builds/${build.id}/stage-records?limit=200`,
  );
  const older = page.getByRole('button', { name: 'Older records' });
  await older.click();
  expect(await page.locator('.history > li').count()).toBe(records.items.length);
  await close();
});

it('records a check with a note that is shown as text, whatever it holds', async () => {
  const { page, get, faults, close } = await visitAs('supervisor', '/about');
  const { items } = await get<{ items: Build[] }>('/builds?limit=200&status=started');
  const found = await Promise.all(
    items.map(async (build) => {
      const { stages } = await get<BuildProgress>(`/builds/${build.id}/progress`);
      const stage = stages.find(
        ({ status, checks }) => status === 'in-progress' && checks.length > 0,
      );
      return stage ? { build, stage } : null;
    }),
  );
  const chosen = found.find((each) => each !== null);
  if (!chosen) throw new Error('No stage of the demonstration is at work');
  const { build, stage } = chosen;
  const before = await get<{ items: StageRecord[] }>(`/builds/${build.id}/stage-records?limit=200`);
  await page.goto(`/builds/${build.id}`);
  const item = page.locator('.stages > li').filter({ hasText: stage.title });
  if (!(await item.locator('details').evaluate((each: HTMLDetailsElement) => each.open))) {
    await item.locator('summary').click();
  }
  await item.getByRole('button', { name: 'Record' }).click();
  const dialog = page.getByRole('dialog');
  await dialog.getByLabel('What was seen').selectOption('check-recorded');
  const check = stage.checks[0];
  const value = dialog.getByLabel(/^Measured value/);
  if (check?.unit === 'yes-no') await value.selectOption('1');
  else await value.fill(String(check?.nominal ?? check?.minimum ?? check?.maximum ?? 1));
  const note = `<script>document.title='taken'</script>=HYPERLINK("http://x") \u202eright to left ${'x'.repeat(9_000)}`;
  await dialog.getByLabel('Note').fill(note);
  await dialog.getByRole('button', { name: 'Record' }).click();
  await page.getByText(note).waitFor();
  expect(await page.title()).toBe(`Build ${build.code} · hoopwright`);
  const after = await get<{ items: StageRecord[] }>(`/builds/${build.id}/stage-records?limit=200`);
  expect(after.items.length).toBe(before.items.length + 1);
  expect(faults).toEqual([]);
  await close();
});

it('shows why the rules refuse a record, and writes nothing', async () => {
  const { page, get, close } = await visitAs('supervisor', '/about');
  const build = await buildWith(get, 'planned');
  await page.goto(`/builds/${build.id}`);
  const last = page.locator('.stages > li').last();
  await last.locator('summary').click();
  await last.getByRole('button', { name: 'Record' }).click();
  const dialog = page.getByRole('dialog');
  await dialog.getByLabel('What was seen').selectOption('started');
  await dialog.getByRole('button', { name: 'Record' }).click();
  await dialog.getByRole('alert').getByText('A rule of the programme forbids this').waitFor();
  await page.keyboard.press('Escape');
  expect(await page.getByRole('dialog').count()).toBe(0);
  const { items } = await get<{ items: StageRecord[] }>(`/builds/${build.id}/stage-records`);
  expect(items).toEqual([]);
  await close();
});

it('adds a photo and shows it', async () => {
  const { page, get, faults, close } = await visitAs('supervisor', '/about');
  const build = await buildWith(get, 'started');
  await page.goto(`/builds/${build.id}`);
  const picture = await sharp({
    create: { width: 320, height: 200, channels: 3, background: '#1d6688' },
  })
    .jpeg()
    .toBuffer();
  await page
    .getByLabel('Add a photo')
    .setInputFiles({ name: 'wall.jpg', mimeType: 'image/jpeg', buffer: picture });
  await page.getByLabel('Caption').fill('Wall <b>boards</b>');
  await page.getByRole('button', { name: 'Keep the photo' }).click();
  const shown = page.getByRole('img', { name: 'Photo: Wall <b>boards</b>' });
  await shown.waitFor();
  await page.waitForFunction(
    () => document.querySelector<HTMLImageElement>('.photos img')?.naturalWidth === 320,
  );
  expect(faults).toEqual([]);
  await close();
});

it('says that a build is not found, without telling whether it is another organisation’s', async () => {
  const { page, close } = await visitAs(
    'coordinator',
    '/builds/01a00000-0000-7000-8000-000000000000',
  );
  await page.getByText('There is no such record, or it belongs to another organisation.').waitFor();
  await close();
});
