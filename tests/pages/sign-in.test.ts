import { expect, it } from 'vitest';
import { DEMO_PASSWORD, emailOf, signIn, useBrowser } from '../support/pages.ts';

const { visit, visitAs, url } = useBrowser();

const navigation = (page: import('playwright-core').Page) =>
  page.getByRole('navigation').getByRole('link').allTextContents();

it('says that a password is wrong, and lets nobody in', async () => {
  const { page, faults, close } = await visit('/');
  await signIn(page, 'coordinator', 'not the password');
  await page.getByText('E-mail or password is wrong.').waitFor();
  expect(await page.getByRole('navigation').count()).toBe(0);
  expect(faults).toEqual([]);
  await close();
});

it('is worked by keyboard alone, to the season and out again', async () => {
  const { page, faults, close } = await visit('/');
  await page.getByLabel('E-mail').focus();
  await page.keyboard.type(emailOf('coordinator'));
  await page.keyboard.press('Tab');
  await page.keyboard.type(DEMO_PASSWORD);
  await page.keyboard.press('Enter');
  await page.waitForURL('**/season');
  expect(await navigation(page)).toEqual([
    'Season',
    'Sites',
    'Designs',
    'Materials',
    'Reports',
    'Field',
  ]);
  await page.getByRole('button', { name: 'Sign out' }).press('Enter');
  await page.getByRole('heading', { name: 'Sign in' }).waitFor();
  await page.goto('/season');
  await page.getByRole('heading', { name: 'Sign in' }).waitFor();
  expect(faults).toEqual([]);
  await close();
});

it.each([
  ['donor', ['Reports']],
  ['storekeeper', ['Season', 'Materials', 'Field']],
  ['engineer', ['Season', 'Sites', 'Designs', 'Materials', 'Field']],
] as const)('shows the %s the pages of the role, and no others', async (person, names) => {
  const { page, close } = await visitAs(person, '/');
  await page.getByRole('navigation').waitFor();
  expect(await navigation(page)).toEqual(names);
  await close();
});

it('says so when the role does not reach to a page', async () => {
  const { page, close } = await visitAs('donor', '/season');
  await page.getByText('You may not see this').waitFor();
  await close();
});

it('speaks French once chosen, also after loading anew, numbers and dates too', async () => {
  const { page, close } = await visitAs('coordinator', '/season');
  await page.getByRole('combobox', { name: 'Language' }).selectOption('fr');
  await page.getByRole('link', { name: 'Saison' }).waitFor();
  await page.reload();
  await page.getByText('94 constructions', { exact: true }).waitFor();
  expect(await page.locator('html').getAttribute('lang')).toBe('fr');
  const money = await page
    .locator('.village-sums')
    .filter({ hasText: 'USD' })
    .first()
    .textContent();
  expect(money).toMatch(/\d\s\d{3},\d{2}\s?USD/u);
  await close();
});

it('takes the language of the browser at first', async () => {
  const { page, close } = await visit('/', { language: 'es-BO' });
  await page.getByRole('heading', { name: 'Entrar' }).waitFor();
  await close();
});

it('turns dark and light, and remembers it', async () => {
  const { page, close } = await visit('/');
  const ground = () =>
    page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor);
  await page.getByRole('combobox', { name: 'Light' }).selectOption('dark');
  const dark = await ground();
  await page.reload();
  await page.getByRole('heading', { name: 'Sign in' }).waitFor();
  expect(await ground()).toBe(dark);
  await page.getByRole('combobox', { name: 'Light' }).selectOption('light');
  expect(await ground()).not.toBe(dark);
  await close();
});

it('never goes to another site after signing in, whatever the address asks', async () => {
  for (const then of ['https://evil.example/', '//evil.example/', '/\\evil.example']) {
    const { page, close } = await visit(`/sign-in?then=${encodeURIComponent(then)}`);
    await signIn(page, 'coordinator');
    await page.waitForURL('**/season');
    expect(page.url().startsWith(url)).toBe(true);
    await close();
  }
});

it('serves pages under a policy that allows nothing inline and nothing from elsewhere', async () => {
  for (const path of ['/', '/season', '/builds/x', '/field', '/field/anything']) {
    const answer = await fetch(`${url}${path}`);
    expect(answer.status, path).toBe(200);
    const policy = answer.headers.get('content-security-policy') ?? '';
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("script-src 'self'");
    expect(policy).toContain("style-src 'self'");
    expect(policy).not.toMatch(/unsafe|\*|https?:/);
    const html = await answer.text();
    expect(html).not.toMatch(/<script(?![^>]*\bsrc=)|<style|\son\w+=|style=/i);
  }
});

it('keeps hashed parts for ever, asks anew for documents, and serves nothing else', async () => {
  const html = await (await fetch(url)).text();
  const part = /\/assets\/[\w.-]+\.js/.exec(html)?.[0];
  expect(part).toBeDefined();
  const found = await fetch(`${url}${part}`);
  expect(found.headers.get('cache-control')).toContain('immutable');
  expect(found.headers.get('content-type')).toContain('text/javascript');
  expect((await fetch(url)).headers.get('cache-control')).toBe('no-cache');
  const paths = ['/assets/none.js', '/assets/..%2findex.html', '/index.html'];
  for (const path of [...paths, '/manifest.json', '/no-such-page']) {
    expect((await fetch(`${url}${path}`)).status, path).toBe(404);
  }
});
