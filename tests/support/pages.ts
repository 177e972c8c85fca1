/// <reference lib="dom" />
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Browser, Page, Response } from 'playwright-core';
import { afterAll, beforeAll, expect, inject } from 'vitest';
import { startBrowser } from './browser.ts';
import { DEMO_PASSWORD } from './pages-setup.ts';

export { DEMO_PASSWORD };

export type DemoPerson =
  | 'admin'
  | 'coordinator'
  | 'engineer'
  | 'supervisor'
  | 'storekeeper'
  | 'inspector'
  | 'donor';

export const emailOf = (person: DemoPerson) => `${person}@demo.example`;

/** A page with what went wrong in it. */
export interface Visit {
  readonly page: Page;
  /** Errors of scripts and breaches of the content security policy. */
  readonly faults: string[];
  /** Reads from the service as the person who is signed in. */
  get<Body>(path: string): Promise<Body>;
  close(): Promise<void>;
}

export interface VisitOptions {
  readonly width?: number;
  readonly height?: number;
  readonly language?: string;
}

/** One browser for the tests of a file; each visit has cookies and storage of its own. */
export function useBrowser() {
  const url = inject('pagesUrl');
  let browser: Browser;
  beforeAll(async () => {
    browser = await startBrowser();
  });
  afterAll(() => browser.close());

  async function visit(path: string, options: VisitOptions = {}): Promise<Visit> {
    const { width = 1280, height = 900, language = 'en-GB' } = options;
    const context = await browser.newContext({
      baseURL: url,
      locale: language,
      viewport: { width, height },
    });
    const page = await context.newPage();
    const faults: string[] = [];
    page.on('pageerror', (error) => faults.push(error.message));
    page.on('console', (message) => {
      const isExpected = /status of 4\d\d|Failed to load resource/.test(message.text());
      if (message.type() === 'error' && !isExpected) faults.push(message.text());
    });
    await page.goto(path);
    return {
      page,
      faults,
      async get<Body>(address: string) {
        const answer = await context.request.get(`/v1${address}`);
        expect(answer.status(), address).toBe(200);
        return (await answer.json()) as Body;
      },
      close: () => context.close(),
    };
  }

  /** Signs a person of the demonstration in, through the form, and goes to the page. */
  async function visitAs(person: DemoPerson, path: string, options?: VisitOptions): Promise<Visit> {
    const visited = await visit('/sign-in', { language: 'en-GB', ...options });
    await signIn(visited.page, person);
    await visited.page.getByRole('main').first().waitFor();
    await visited.page.waitForURL((address) => address.pathname !== '/sign-in');
    await visited.page.goto(path);
    return visited;
  }

  return { visit, visitAs, url };
}

/** Fills the sign-in form; its language may be any. */
export async function signIn(page: Page, person: DemoPerson, password = DEMO_PASSWORD) {
  await page.locator('input[type=email]').fill(emailOf(person));
  await page.locator('input[type=password]').fill(password);
  await page.locator('button[type=submit]').click();
}

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

interface AxeViolation {
  readonly id: string;
  readonly impact: string | null;
  readonly nodes: readonly { readonly html: string; readonly failureSummary?: string }[];
}

/** What axe finds against WCAG 2.2 AA that is serious or critical, as readable lines. */
export async function seriousBarriers(page: Page): Promise<string[]> {
  await page.evaluate(AXE);
  const violations = await page.evaluate(async () => {
    const { axe } = globalThis as unknown as {
      axe: { run(options: object): Promise<{ violations: AxeViolation[] }> };
    };
    const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
    return (await axe.run({ runOnly: { type: 'tag', values: tags } })).violations;
  });
  return violations
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .flatMap(({ id, nodes }) =>
      nodes.map(
        ({ html, failureSummary }) => `${id}: ${html.slice(0, 160)} ${failureSummary ?? ''}`,
      ),
    );
}

/** How many pixels the page is wider than its window: 0 unless it scrolls sideways. */
export const sidewaysPx = (page: Page): Promise<number> =>
  page.evaluate(() => {
    const { scrollWidth, clientWidth } = document.documentElement;
    return scrollWidth - clientWidth;
  });

/** Everything that the service sent to the page, as text. */
export function recordAnswers(page: Page): () => Promise<string> {
  const answers: Response[] = [];
  page.on('response', (response) => answers.push(response));
  return async () => {
    const texts = await Promise.all(
      answers.map(async (response) => {
        const body = await response.text().catch(() => '');
        return `${JSON.stringify(response.headers())}\n${body}`;
      }),
    );
    return texts.join('\n');
  };
}
