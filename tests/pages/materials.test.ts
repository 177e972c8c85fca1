import { expect, it } from 'vitest';
import type { MaterialNeed } from '../../shared/contract/material-needs.ts';
import type { Programme } from '../../shared/contract/programme.ts';
import type {
  SupplyLineExplanation,
  SupplyPlan,
  SupplyPlanLine,
} from '../../shared/contract/supply-plan.ts';
import type { Village } from '../../shared/contract/village.ts';
import { useBrowser } from '../support/pages.ts';

const { visitAs } = useBrowser();

interface List<Item> {
  readonly items: Item[];
}

it('shows what a village needs week by week, and what of it is still to be bought', async () => {
  const { page, get, faults, close } = await visitAs('coordinator', '/about');
  const [programme] = (await get<List<Programme>>('/programmes')).items;
  const [, village] = (await get<List<Village>>('/villages')).items;
  const { items } = await get<List<MaterialNeed>>(
    `/programmes/${programme?.id}/material-needs?villageId=${village?.id}&limit=200`,
  );
  await page.goto('/materials');
  await page.getByLabel('Village').selectOption(village?.name ?? '');
  const table = page.getByRole('table', { name: village?.name ?? '' });
  await table.waitFor();
  const materials = new Set(items.map(({ materialName }) => materialName));
  expect((await table.getByRole('rowheader').allTextContents()).sort()).toEqual(
    [...materials].sort(),
  );
  const toBuy = items.filter(({ netQuantity }) => Number(netQuantity) > 0);
  expect(toBuy.length).toBeGreaterThan(0);
  expect(await table.locator('.to-buy').count()).toBe(toBuy.length);
  expect(faults).toEqual([]);
  await close();
});

it('works out a supply plan with its progress shown, down to why a line is as it is', async () => {
  const { page, get, faults, close } = await visitAs('coordinator', '/materials');
  await page.getByRole('button', { name: 'Work out a supply plan' }).click();
  await page.getByText('The plan is there.').waitFor({ timeout: 150_000 });
  await page
    .getByRole('link', { name: /-SP\d+$/ })
    .first()
    .click();
  await page.getByRole('heading', { name: /^Supply plan / }).waitFor();
  const id = new URL(page.url()).pathname.split('/').at(-1);
  const plan = await get<SupplyPlan>(`/supply-plans/${id}`);
  const shown = new Intl.NumberFormat('en-GB', {
    style: 'currency',
    currency: plan.totalAmount.currency,
    currencyDisplay: 'code',
  }).format(Number(plan.totalAmount.amount));
  await page.getByText(shown, { exact: true }).first().waitFor();
  const [line] = (await get<List<SupplyPlanLine>>(`/supply-plans/${id}/lines?limit=1`)).items;
  const explanation = await get<SupplyLineExplanation>(
    `/supply-plans/${id}/lines/${line?.id}/explanation`,
  );
  await page
    .getByRole('button', { name: /^Why\?/ })
    .first()
    .click();
  const dialog = page.getByRole('dialog', { name: /^Why / });
  const { supplierReason, weekReason, quantityReason } = explanation;
  for (const reason of [supplierReason, weekReason, quantityReason]) {
    await dialog.getByText(reason, { exact: true }).waitFor();
  }
  await page.keyboard.press('Escape');
  await dialog.waitFor({ state: 'hidden' });
  expect(faults).toEqual([]);
  await close();
}, 200_000);

it('shows the storekeeper the stock, with its caution', async () => {
  const { page, faults, close } = await visitAs('storekeeper', '/materials');
  await page.getByText('Quantities are those of the books.').waitFor();
  await page.getByRole('table', { name: 'Stock by store' }).waitFor();
  expect(await page.getByRole('button', { name: 'Work out a supply plan' }).count()).toBe(0);
  expect(faults).toEqual([]);
  await close();
});
