import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type BrowserContext, chromium, type Page } from 'playwright-core';
import { browserCommand } from './browser.ts';

/** A browser with a folder of its own, which can be killed like a phone whose battery falls out. */
export interface Phone {
  readonly context: BrowserContext;
  readonly page: Page;
  /** Closes the browser in order: what it holds in memory, cookies too, is written down. */
  switchOff(): Promise<void>;
  /** SIGKILL, with no chance to write anything down. */
  kill(): Promise<void>;
}

/** A new folder for a phone's memory; it outlives the browser. */
export const newMemory = () => mkdtemp(join(tmpdir(), 'hoopwright-phone-'));
export const forgetMemory = (folder: string) => rm(folder, { recursive: true, force: true });

/** Switches the phone on, at that page. */
export async function switchOn(memory: string, url: string): Promise<Phone> {
  const { executablePath, args, env } = browserCommand();
  const child = spawn(
    executablePath,
    [
      ...args,
      '--headless',
      '--remote-debugging-port=0',
      `--user-data-dir=${memory}`,
      '--no-first-run',
      '--window-size=360,740',
      'about:blank',
    ],
    { env, stdio: ['ignore', 'ignore', 'pipe'], detached: true },
  );
  const ended = once(child, 'exit');
  const browser = await chromium.connectOverCDP(await addressOf(child));
  const [context] = browser.contexts();
  if (!context) throw new Error('the browser has no window');
  const page = context.pages()[0] ?? (await context.newPage());
  await page.setViewportSize({ width: 360, height: 740 });
  await page.goto(url);
  return {
    context,
    page,
    async switchOff() {
      const devtools = await browser.newBrowserCDPSession();
      await devtools.send('Browser.close').catch(() => undefined);
      if (child.exitCode === null && child.signalCode === null) await ended;
    },
    async kill() {
      if (child.exitCode !== null || child.signalCode !== null) return;
      // The whole group: what draws and what stores are processes of their own.
      if (child.pid !== undefined) process.kill(-child.pid, 'SIGKILL');
      await ended;
      await browser.close().catch(() => undefined);
    },
  };
}

async function addressOf(child: ChildProcess): Promise<string> {
  let said = '';
  for await (const chunk of child.stderr ?? []) {
    said += String(chunk);
    const address = /ws:\/\/\S+/.exec(said)?.[0];
    if (address) return address;
  }
  throw new Error(`the browser did not start: ${said.slice(-500)}`);
}
