import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import type {
  DesignRevision,
  DesignRevisionSummary,
} from '../../shared/contract/design-revision.ts';
import type { TankDesignInput } from '../../shared/design/tank-design-input.ts';
import { useBrowser } from '../support/pages.ts';
import { randomDesigns } from '../support/random-designs.ts';

const { visitAs } = useBrowser();

const SEED = 20261125;
const DESIGN_COUNT = 1_000;
const CHUNK = 50;

const SAME = 'The service gives the same numbers, to the last digit.';

async function approvedRevision(get: <Body>(path: string) => Promise<Body>) {
  const { items } = await get<{ items: DesignRevisionSummary[] }>(
    '/design-revisions?approval=approved',
  );
  const [first] = items;
  if (!first) throw new Error('The demonstration has no approved design');
  return get<DesignRevision>(`/design-revisions/${first.id}`);
}

interface Outcome {
  /** What the engine of the browser found, or which parameter it refused. */
  readonly own: string;
  readonly status: number;
  readonly answer: string;
}

/** Script that works designs in the page and has the service work them. Text: it loads our module. */
const worked = (file: string, designs: readonly TankDesignInput[]) => `(async () => {
  const { checkTank } = await import(${JSON.stringify(file)});
  return Promise.all(${JSON.stringify(designs)}.map(async (design) => {
    const response = await fetch('/v1/calculations/tank-check', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(design),
    });
    let own;
    try {
      own = JSON.stringify(checkTank(design));
    } catch (error) {
      own = 'refused ' + error.parameter;
    }
    return { own, status: response.status, answer: await response.text() };
  }));
})()`;

it('works 1,000 random designs in the browser to the very numbers of the service', async () => {
  const { page, close } = await visitAs('engineer', '/designs');
  const manifest = JSON.parse(
    readFileSync(join(import.meta.dirname, '../../dist/web/manifest.json'), 'utf8'),
  ) as Record<string, { file: string }>;
  const engineFile = `/${manifest['design/engine.ts']?.file}`;
  const designs = randomDesigns(DESIGN_COUNT, SEED);
  let checkedCount = 0;
  let refusedCount = 0;
  for (let from = 0; from < designs.length; from += CHUNK) {
    const chunk = designs.slice(from, from + CHUNK);
    const outcomes = await page.evaluate<Outcome[]>(worked(engineFile, chunk));
    for (const [index, { own, status, answer }] of outcomes.entries()) {
      const design = JSON.stringify(designs[from + index]);
      if (status === 200) {
        // Members stand in another order in the answer; every value must be the same number.
        expect(JSON.parse(own), design).toStrictEqual(JSON.parse(answer));
        checkedCount += 1;
      } else {
        expect(status, answer).toBe(422);
        expect(own, answer).toMatch(/^refused /);
        const { errors } = JSON.parse(answer) as { errors: { pointer: string }[] };
        const parameter = own.slice('refused '.length).replaceAll('.', '/');
        expect(errors.map(({ pointer }) => pointer)).toContain(`/${parameter}`);
        refusedCount += 1;
      }
    }
  }
  expect(checkedCount + refusedCount).toBe(DESIGN_COUNT);
  expect(checkedCount).toBeGreaterThan(DESIGN_COUNT / 2);
  await close();
}, 240_000);

it('draws and checks anew while a slider moves, by keyboard too', async () => {
  const { page, get, faults, close } = await visitAs('coordinator', '/designs');
  const revision = await approvedRevision(get);
  await page.goto(`/designs/${revision.id}`);
  await page.getByText(SAME).waitFor();
  const section = page.getByRole('img', { name: /Section and bands/ });
  const before = await section.getAttribute('src');
  expect(decodeURIComponent(before ?? '')).toContain(`${revision.designCode} revision`);
  const slider = page.getByRole('slider', { name: 'Inside diameter' });
  await slider.focus();
  for (let presses = 0; presses < 10; presses++) await page.keyboard.press('ArrowRight');
  const diameterM = Number(await slider.inputValue());
  expect(diameterM).toBeCloseTo(revision.input.insideDiameterM + 0.1, 9);
  await page.getByText('Changed. This is not the revision; nobody has approved it.').waitFor();
  await page.getByText(SAME).waitFor();
  expect(await section.getAttribute('src')).not.toBe(before);
  // Volume of a cylinder, by hand.
  const capacityL = (Math.PI / 4) * diameterM * diameterM * revision.input.waterDepthM * 1_000;
  const shown = new Intl.NumberFormat('en-GB', { maximumFractionDigits: 0 }).format(capacityL);
  await page.getByText(`${shown}\u00a0L`, { exact: true }).first().waitFor();
  await page.getByRole('button', { name: 'Back to the revision' }).click();
  expect(await section.getAttribute('src')).toBe(before);
  expect(faults).toEqual([]);
  await close();
});

it('says which value the engine does not take, and keeps the last drawing', async () => {
  const { page, get, close } = await visitAs('coordinator', '/designs');
  const { id } = await approvedRevision(get);
  await page.goto(`/designs/${id}`);
  await page.getByText(SAME).waitFor();
  await page.getByRole('spinbutton', { name: 'Wall thickness' }).fill('0.5');
  await page.getByText('wallThicknessM is 0.5').waitFor();
  expect(await page.getByRole('img', { name: /Section and bands/ }).count()).toBe(1);
  await close();
});

it('shows every check of the revision with its source, and never calls anything safe', async () => {
  const { page, get, close } = await visitAs('coordinator', '/designs');
  const revision = await approvedRevision(get);
  await page.goto(`/designs/${revision.id}`);
  await page.getByText(SAME).waitFor();
  for (const { title, source } of revision.result.checks) {
    const row = page.getByRole('row', { name: title });
    expect(await row.first().textContent(), title).toContain(source);
  }
  for (const { text } of revision.result.cautions) await page.getByText(text).first().waitFor();
  const words = (await page.locator('body').textContent()) ?? '';
  expect(words).not.toMatch(/\bsafe\b(?! data)/i);
  expect(await page.getByRole('button', { name: 'Withdraw the approval' }).count()).toBe(0);
  await close();
});

it('keeps a changed design as a revision, which another person approves as the engineer', async () => {
  const office = await visitAs('coordinator', '/designs');
  const { id, designId, revisionNumber } = await approvedRevision(office.get);
  await office.page.goto(`/designs/${id}`);
  await office.page.getByText(SAME).waitFor();
  await office.page.getByRole('spinbutton', { name: 'Band width' }).fill('30');
  await office.page.getByRole('button', { name: 'Keep as a new revision' }).click();
  await office.page.waitForURL((address) => !address.pathname.endsWith(id));
  const made = new URL(office.page.url()).pathname;
  expect(office.faults).toEqual([]);
  await office.close();

  const { page, get, faults, close } = await visitAs('engineer', made);
  await page.getByRole('button', { name: 'Approve this revision' }).click();
  const dialog = page.getByRole('dialog', { name: 'Decision of the engineer' });
  const remarks = '<img src=x onerror=alert(1)> =1+1 \u202e seen';
  await dialog.getByLabel('Remarks').fill(remarks);
  await dialog.getByRole('button', { name: 'Approve this revision' }).click();
  await page.getByText(/^Approved by .*, registration /).waitFor();
  await page.getByText(remarks).waitFor();
  const { items } = await get<{ items: DesignRevisionSummary[] }>(
    `/design-revisions?designId=${designId}`,
  );
  const newest = items.find((each) => each.revisionNumber > revisionNumber);
  expect(newest?.approval).toBe('approved');
  expect(faults).toEqual([]);
  await close();
});
