// What the tests of meetings begin with.
import { type Browser, expect, type Page } from '@playwright/test';
import { signIn } from './people';

export const phone = { width: 390, height: 844 };

/** A person on a device of their own. */
export async function arrive(
  browser: Browser,
  login: string,
  viewport?: { width: number; height: number },
): Promise<Page> {
  const context = await browser.newContext({ ...(viewport ? { viewport } : {}), acceptDownloads: true });
  const page = await context.newPage();
  await signIn(page, login);
  return page;
}

/** What a person is called. */
export async function nameOf(page: Page): Promise<string> {
  return ((await (await page.request.get('/api/v1/me')).json()) as { name: string }).name;
}

/** The chair plans a meeting, held so many days from today, and gets its id. */
export async function plan(
  chair: Page,
  title: string,
  days: number,
  presenter: string,
  invited: readonly string[],
): Promise<string> {
  await chair.goto('/meetings');
  await chair.getByRole('button', { name: 'Plan a meeting' }).click();
  const dialog = chair.getByRole('dialog', { name: 'Plan a meeting' });
  await dialog.getByLabel('Title').fill(title);
  await dialog.getByLabel('Date').fill(new Date(Date.now() + days * 86_400_000).toISOString().slice(0, 10));
  await dialog.getByLabel('Presenter').selectOption({ label: presenter });
  for (const name of invited) {
    await dialog.getByLabel('Somebody to invite').selectOption({ label: name });
    await dialog.getByRole('button', { name: 'Invite', exact: true }).click();
  }
  await dialog.getByRole('button', { name: 'Keep, and open the agenda' }).click();
  await expect(chair.getByRole('heading', { name: title })).toBeVisible();
  return new URL(chair.url()).pathname.split('/')[2] ?? '';
}
