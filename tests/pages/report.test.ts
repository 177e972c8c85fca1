import { expect, it } from 'vitest';
import type { Report, ReportSummary } from '../../shared/contract/report.ts';
import type { Site, SiteContact } from '../../shared/contract/site.ts';
import { recordAnswers, signIn, useBrowser } from '../support/pages.ts';

const { visit, visitAs } = useBrowser();

it('sends a donor no name, phone or position of a household, in any byte', async () => {
  const office = await visitAs('coordinator', '/about');
  const { items: sites } = await office.get<{ items: Site[] }>('/sites?limit=200');
  const contacts: SiteContact[] = [];
  for (const { id } of sites) {
    const answer = await office.page.request.get(`/v1/sites/${id}/contact`);
    if (answer.ok()) contacts.push((await answer.json()) as SiteContact);
  }
  await office.close();
  const personal = contacts.flatMap(({ contactName, phone, latDeg, lonDeg }) =>
    [contactName, phone, latDeg, lonDeg].filter((value) => value !== null).map(String),
  );
  expect(personal.length).toBeGreaterThan(10);

  const { page, faults, close } = await visit('/');
  const answers = recordAnswers(page);
  await signIn(page, 'donor');
  await page.getByRole('link', { name: /^REP-/ }).click();
  await page.getByRole('heading', { name: 'Figures' }).waitFor();
  for (const figure of await page.locator('.figure summary').all()) await figure.click();
  await page.waitForLoadState('networkidle');
  const bytes = await answers();
  expect(bytes).toContain('tanks-handed-over');
  for (const value of personal) expect(bytes.includes(value), value).toBe(false);
  for (const path of ['/season', '/sites', `/sites/${sites[0]?.id}`, '/designs']) {
    await page.goto(path);
    await page.getByText('You may not see this').waitFor();
  }
  expect(await answers()).not.toContain('"contactName"');
  expect(faults).toEqual([]);
  await close();
});

it('takes every figure down to records that add up to it', async () => {
  const { page, get, close } = await visitAs('donor', '/reports');
  const { items } = await get<{ items: ReportSummary[] }>('/reports');
  const { content } = await get<Report>(`/reports/${items[0]?.id}`);
  await page.getByRole('link', { name: items[0]?.code ?? '' }).click();
  const handedOver = page.locator('.figure').filter({ hasText: 'Storage handed over' }).first();
  await handedOver.locator('summary').click();
  await handedOver.getByRole('table').waitFor();
  const parts = await handedOver.locator('td').allTextContents();
  const sum = parts.reduce((total, part) => total + Number(part.replaceAll(',', '')), 0);
  const figure = content.figures.find(({ code }) => code === 'storage');
  expect(sum).toBeCloseTo(Number(figure?.value), 3);
  const marks = page.getByRole('img', { name: /complete$/ });
  expect(await marks.count()).toBe(content.builds.length);
  await close();
});
