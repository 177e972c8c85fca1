import { gzipSync } from 'node:zlib';
import { expect, it } from 'vitest';
import type { Build } from '../../shared/contract/build.ts';
import type { DesignRevisionSummary } from '../../shared/contract/design-revision.ts';
import type { Site } from '../../shared/contract/site.ts';
import { seriousBarriers, sidewaysPx, useBrowser } from '../support/pages.ts';

const { visit, visitAs } = useBrowser();

const WIDTHS = [360, 768, 1440];

type Get = <Body>(path: string) => Promise<Body>;

const firstOf = async <Item>(get: Get, path: string): Promise<Item> => {
  const [item] = (await get<{ items: Item[] }>(path)).items;
  if (!item) throw new Error(`The demonstration has nothing at ${path}`);
  return item;
};

async function officePaths(get: Get): Promise<string[]> {
  const build = await firstOf<Build>(get, '/builds?limit=1&status=on-hold');
  const revision = await firstOf<DesignRevisionSummary>(get, '/design-revisions?limit=1');
  const site = await firstOf<Site>(get, '/sites?limit=1');
  const report = await firstOf<{ id: string }>(get, '/reports?limit=1');
  return [
    '/season',
    `/builds/${build.id}`,
    '/designs',
    `/designs/${revision.id}`,
    '/sites',
    '/sites/import',
    `/sites/${site.id}`,
    '/materials',
    '/reports',
    `/reports/${report.id}`,
  ];
}

const settled = async (page: import('playwright-core').Page) => {
  await page.getByRole('heading', { level: 1 }).first().waitFor();
  await page.waitForLoadState('networkidle');
};

it.each(['light', 'dark'] as const)(
  'has no barrier that axe calls serious, and never scrolls sideways: %s',
  async (colorScheme) => {
    const signedOut = await visit('/');
    await signedOut.page.emulateMedia({ colorScheme });
    await signedOut.page.getByRole('heading', { name: 'Sign in' }).waitFor();
    expect(await seriousBarriers(signedOut.page)).toEqual([]);
    await signedOut.close();

    const { page, get, faults, close } = await visitAs('coordinator', '/about');
    await page.emulateMedia({ colorScheme });
    for (const path of await officePaths(get)) {
      for (const width of WIDTHS) {
        await page.setViewportSize({ width, height: 800 });
        await page.goto(path);
        await settled(page);
        expect(await sidewaysPx(page), `${path} at ${width}`).toBeLessThanOrEqual(0);
        if (width !== 768) expect(await seriousBarriers(page), `${path} at ${width}`).toEqual([]);
      }
    }
    expect(faults).toEqual([]);
    await close();
  },
  180_000,
);

it('opens the menu of a phone by keyboard, and what it needs is large enough for a thumb', async () => {
  const { page, close } = await visitAs('coordinator', '/season', { width: 360, height: 740 });
  await settled(page);
  const menu = page.getByRole('button', { name: 'Menu' });
  expect(await menu.getAttribute('aria-expanded')).toBe('false');
  await menu.press('Enter');
  await page.getByRole('link', { name: 'Designs' }).waitFor();
  const boxes = await page.locator('button, select, nav a').evaluateAll((elements) =>
    elements
      .filter((element) => element.getClientRects().length > 0)
      .map((element) => ({
        name: element.textContent,
        heightPx: element.getBoundingClientRect().height,
      })),
  );
  expect(boxes.length).toBeGreaterThan(5);
  expect(boxes.filter(({ heightPx }) => heightPx < 44)).toEqual([]);
  await close();
});

it('needs at most 150 kB of script, compressed, for the first page', async () => {
  const { page, close } = await visitAs('coordinator', '/about');
  const scripts: Buffer[] = [];
  page.on('response', async (response) => {
    if (response.headers()['content-type']?.includes('javascript')) {
      scripts.push(await response.body());
    }
  });
  await page.goto('/season');
  await settled(page);
  const bytes = scripts.reduce((sum, script) => sum + gzipSync(script).length, 0);
  expect(scripts.length).toBeGreaterThan(2);
  expect(bytes).toBeLessThanOrEqual(150_000);
  await close();
});
