import { expect, it } from 'vitest';
import type { Site } from '../../shared/contract/site.ts';
import type { SiteSizing } from '../../shared/contract/site-sizing.ts';
import type { Village } from '../../shared/contract/village.ts';
import { useBrowser } from '../support/pages.ts';

const { visitAs } = useBrowser();

const HEAD =
  'code,village,kind,roof_area_m2,roof_kind,runoff_coefficient,people,litres_per_person_per_day,demand_l_per_day,ground_class,agreed_on,contact_name,phone,consent';

const file = (...rows: string[]) => ({
  name: 'sites.csv',
  mimeType: 'text/csv',
  buffer: Buffer.from([HEAD, ...rows].join('\n')),
});

const good = (code: string, village: string) =>
  `${code},${village},household,45,metal-sheet,,6,,,firm-clay,2026-10-01,,,`;

it('shows the errors of a file in its own rows, and writes nothing', async () => {
  const { page, get, faults, close } = await visitAs('coordinator', '/sites/import');
  const { items } = await get<{ items: Village[] }>('/villages');
  const village = items[0]?.code ?? '';
  const before = (await get<{ items: Site[] }>('/sites?limit=200')).items.length;
  await page
    .getByLabel('File')
    .setInputFiles(
      file(
        good('PAGE-01', village),
        '"PAGE\n-02",NOWHERE,palace,-3,metal-sheet,,6,,,firm-clay,2026-10-01,,,',
        `PAGE-03,${village},household,<b>4</b>,straw,,6,,,firm-clay,2026-10-01,,,`,
      ),
    );
  await page.getByRole('button', { name: 'Try the file' }).click();
  await page.getByText(/errors in 3 rows\. Nothing was written\./).waitFor();
  const third = page.getByRole('row').filter({ hasText: 'PAGE-03' });
  expect(await third.getByRole('rowheader').textContent()).toBe('5');
  expect(await third.locator('.wrong').allTextContents()).toEqual([
    expect.stringMatching(/^<b>4<\/b>.*plain number/),
    expect.stringMatching(/^straw.*metal-sheet/),
  ]);
  const second = page.getByRole('row').filter({ hasText: 'NOWHERE' });
  expect(await second.locator('.wrong').filter({ hasText: 'palace' }).count()).toBe(1);
  expect(await page.getByText('PAGE-01').count()).toBe(0);
  expect((await get<{ items: Site[] }>('/sites?limit=200')).items.length).toBe(before);
  expect(faults).toEqual([]);
  await close();
});

it('applies a good file as it was tried, then sizes every site with its progress shown', async () => {
  const { page, get, faults, close } = await visitAs('coordinator', '/sites/import');
  const { items } = await get<{ items: Village[] }>('/villages');
  await page.getByLabel('File').setInputFiles(file(good('PAGE-11', items[0]?.code ?? '')));
  await page.getByRole('button', { name: 'Try the file' }).click();
  await page.getByText('The file has no errors: 1 sites to make').waitFor();
  await page.getByRole('button', { name: 'Apply the file' }).click();
  await page.getByText('Applied: 1 sites made').waitFor();
  await page.getByRole('main').getByRole('link', { name: 'Sites' }).click();
  await page.getByRole('searchbox', { name: 'Code' }).fill('page-11');
  const row = page.getByRole('row').filter({ hasText: 'PAGE-11' });
  await row.getByText('Not sized yet').waitFor();
  await page.getByRole('button', { name: 'Size all sites' }).click();
  await page.getByText('Every site is sized.').waitFor();
  await row.getByText(/T-\d+/).waitFor();
  expect(faults).toEqual([]);
  await close();
});

it('draws the storage curve through the standard tanks as the service sized them', async () => {
  const { page, get, faults, close } = await visitAs('coordinator', '/about');
  const { items } = await get<{ items: Site[] }>('/sites?limit=1');
  const site = items[0];
  const sizings = await get<{ items: SiteSizing[] }>(
    `/site-sizings?programmeId=${site?.programmeId}&siteId=${site?.id}`,
  );
  await page.goto(`/sites/${site?.id}`);
  const chart = page.getByRole('img', { name: /^Curve of the share/ });
  await chart.locator('.curve path').waitFor({ state: 'attached' });
  // Where the curve runs and where the dots stand, in the chart's own units.
  const drawn = await chart.evaluate((element) => {
    const curve = element.querySelector<SVGPathElement>('.curve path');
    const dots = [...element.querySelectorAll<SVGCircleElement>('circle')];
    return {
      points: [...(curve?.getAttribute('d') ?? '').matchAll(/(-?[\d.]+),(-?[\d.]+)/g)].map(
        ([, x, y]) => ({ x: Number(x), y: Number(y) }),
      ),
      dots: dots.map((dot) => ({
        x: Number(dot.getAttribute('cx')),
        y: Number(dot.getAttribute('cy')),
      })),
    };
  });
  expect(drawn.dots.length).toBe(sizings.items[0]?.candidates.length);
  for (const dot of drawn.dots) {
    const after = drawn.points.findIndex(({ x }) => x >= dot.x);
    const [a, b] = [drawn.points[after - 1], drawn.points[after]];
    if (!a || !b) throw new Error('A dot stands beside the curve');
    const y = a.y + ((b.y - a.y) * (dot.x - a.x)) / (b.x - a.x);
    // The curve is drawn in straight pieces between its points.
    expect(Math.abs(dot.y - y)).toBeLessThan(1.5);
  }
  expect(faults).toEqual([]);
  await close();
});
