import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import type { Role } from '@rundlet/contracts';
import { chromium, type Browser, type BrowserContext, type Page } from 'playwright-core';
import { startServer, type TestServer } from './server.ts';

export const CHROMIUM = process.env['RUNDLET_CHROMIUM'] ?? '/usr/bin/chromium';
/** Browser tests run where a Chromium is; the test command says loudly when there is none. */
export const hasBrowser = existsSync(CHROMIUM);
export const PHONE = { width: 390, height: 844 };
export const SMALL_PHONE = { width: 360, height: 740 };
export const DESK = { width: 1440, height: 900 };

/** A server with the built web app behind it, on a database of its own. */
export const startWebServer = (): Promise<TestServer> =>
  startServer('file', { environment: { RUNDLET_WEB: resolve('apps/web/dist') } });

export const launch = (args: readonly string[] = []): Promise<Browser> =>
  chromium.launch({
    executablePath: CHROMIUM,
    headless: true,
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-background-networking',
      '--no-first-run',
      ...args,
    ],
  });

/** A page of a person with these roles, signed in through the sign-in page. Errors of the page fail the test. */
export async function signedInPage(
  context: BrowserContext,
  server: TestServer,
  ...roles: Role[]
): Promise<{ page: Page; faults: string[]; signInName: string; password: string }> {
  const { signInName, password } = await server.signedIn(...roles);
  const page = await context.newPage();
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error' && !/Failed to load resource/.test(message.text()))
      faults.push(message.text());
  });
  await page.goto(server.base);
  await page.getByLabel('Sign-in name').fill(signInName);
  await page.getByLabel('Password').fill(password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  // The address stays the same while signing in: only once the form is gone has the server answered.
  await page.getByLabel('Password').waitFor({ state: 'detached' });
  await page.getByRole('heading', { level: 1 }).waitFor();
  return { page, faults, signInName, password };
}
