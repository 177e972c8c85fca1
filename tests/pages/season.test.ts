import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import type { Bill } from '../../shared/contract/bill.ts';
import type { Build } from '../../shared/contract/build.ts';
import { useBrowser } from '../support/pages.ts';

const { visitAs } = useBrowser();

interface List<Item> {
  readonly items: Item[];
}

const rowOf = (page: Page, village: string) => page.getByRole('article', { name: village });
const tanksOf = (page: Page, village: string) =>
  rowOf(page, village).getByRole('link', { name: /complete$/ });

it('shows every build of the season as a tank in the row of its village', async () => {
  const { page, get, faults, close } = await visitAs('coordinator', '/season');
  const { items } = await get<List<Build>>('/builds?limit=200');
  await page.getByText(`${items.length} builds of ${items.length} shown`).waitFor();
  const villages = new Map(
    items.map(({ villageName, villageId }) => [villageName, villageId] as const),
  );
  expect(villages.size).toBeGreaterThan(5);
  for (const [village, villageId] of villages) {
    const own = items.filter((build) => build.villageName === village);
    await rowOf(page, village).scrollIntoViewIfNeeded();
    await expect.poll(() => tanksOf(page, village).count(), { message: village }).toBe(own.length);
    const { amount } = await get<Bill>(
      `/bills?programmeId=${own[0]?.programmeId}&villageId=${villageId}`,
    );
    const shown = new Intl.NumberFormat('en-GB', {
      style: 'currency',
      currency: amount.currency,
      currencyDisplay: 'code',
    }).format(Number(amount.amount));
    await rowOf(page, village).getByText(shown, { exact: true }).waitFor();
  }
  expect(faults).toEqual([]);
  await close();
});

it('names each build on hold with its reason, and leads to it', async () => {
  const { page, get, close } = await visitAs('coordinator', '/season?status=on-hold');
  const { items } = await get<List<Build>>('/builds?limit=200&status=on-hold');
  expect(items.length).toBeGreaterThan(0);
  for (const { code, villageName } of items) {
    const reason = rowOf(page, villageName).getByRole('listitem').filter({ hasText: code });
    await reason
      .getByText(/waits for release|outside its limits|refused/)
      .first()
      .waitFor();
  }
  const [first] = items;
  await page.getByRole('link', { name: first?.code ?? '', exact: true }).click();
  await page.getByRole('heading', { name: `Build ${first?.code}` }).waitFor();
  await close();
});

it('keeps its filter in the address', async () => {
  const { page, get, close } = await visitAs('coordinator', '/season');
  const { items } = await get<List<Build>>('/builds?limit=200&status=handed-over');
  await page.getByLabel('Status').selectOption('handed-over');
  await page.getByText(`${items.length} builds of`).waitFor();
  await page.reload();
  await page.getByText(`${items.length} builds of`).waitFor();
  await page.getByLabel('Code, site, design').fill('no such build');
  await page.getByText('No build matches the filter').waitFor();
  await page.getByRole('button', { name: 'Clear filter' }).first().click();
  await page.getByText('94 builds of 94 shown').waitFor();
  await close();
});

const madeBuilds = (pattern: Build, count: number): Build[] =>
  Array.from({ length: count }, (_, index) => ({
    ...pattern,
    id: `00000000-0000-7000-8000-${String(index).padStart(12, '0')}`,
    code: `B-${String(index).padStart(5, '0')}`,
    villageId: `00000000-0000-7000-9000-${String(index % 80).padStart(12, '0')}`,
    villageName: `Village ${String(index % 80).padStart(2, '0')}`,
    status: index % 10 === 0 ? 'handed-over' : 'started',
  }));

it('finds its way through 2,000 builds, read page by page', async () => {
  const { page, get, close } = await visitAs('coordinator', '/about');
  const [pattern] = (await get<List<Build>>('/builds?limit=1&status=started')).items;
  if (!pattern) throw new Error('The demonstration has no started build');
  const builds = madeBuilds(pattern, 2_000);
  await page.route('**/v1/builds?*', async (route) => {
    const from = Number(new URL(route.request().url()).searchParams.get('cursor') ?? 0);
    const next = from + 200;
    const body = {
      items: builds.slice(from, next),
      nextCursor: next < 2_000 ? String(next) : null,
    };
    await route.fulfill({ json: body });
  });
  await page.route('**/v1/bills?*', (route) => route.fulfill({ status: 404, json: {} }));
  await page.goto('/season');
  await page.getByText('2,000 builds of 2,000 shown').waitFor();
  const lastRow = rowOf(page, 'Village 79');
  await lastRow.scrollIntoViewIfNeeded();
  await expect.poll(() => lastRow.locator('a.tank').count()).toBe(2_000 / 80);
  await page.getByLabel('Status').selectOption('handed-over');
  await page.getByText('200 builds of 2,000 shown').waitFor();
  expect(await page.getByRole('article').count()).toBe(8);
  await page.getByLabel('Code, site, design').fill('b-00040');
  await page.getByText('1 build of 2,000 shown').waitFor();
  await page.getByRole('link', { name: 'B-00040: Handed over' }).waitFor();
  await close();
});
