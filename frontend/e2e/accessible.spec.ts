// Every page, light and dark, wide and on a phone, without a serious or critical violation that axe can find.
import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { signIn } from './people';

const sizes = {
  wide: { width: 1280, height: 720 },
  phone: { width: 390, height: 844 },
};

async function filmCase(page: Page): Promise<string> {
  const answer = await page.request.get('/api/v1/cases?q=FILM');
  const list = (await answer.json()) as { cases: { id: string }[] };
  return list.cases[0]?.id ?? '';
}

async function open(page: Page, path: string): Promise<void> {
  await page.goto(path);
  await page.waitForLoadState('networkidle');
  await expect(page.getByRole('heading').first()).toBeVisible();
}

/** Nothing may be wider than the window: a page that scrolls sideways is not readable on a phone. */
async function expectNoSideways(page: Page, name: string): Promise<void> {
  const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  expect(over, `${name} scrolls sideways by`).toBeLessThanOrEqual(0);
}

for (const theme of ['light', 'dark'] as const) {
  for (const [size, viewport] of Object.entries(sizes)) {
    test.describe(`${theme}, ${size}`, () => {
      test.use({ colorScheme: theme, viewport, reducedMotion: 'reduce' });

      test('the way in', async ({ page }) => {
        await open(page, '/sign-in');
        await expectAccessible(page, 'sign-in');
        await expectNoSideways(page, 'sign-in');
      });

      test('the pages of a surgeon', async ({ page }) => {
        test.setTimeout(240_000);
        await signIn(page, 'mara');
        const id = await filmCase(page);
        const pages = [
          '/',
          '/cases',
          '/cases/new',
          `/cases/${id}`,
          `/cases/${id}/operation`,
          `/cases/${id}/follow-up`,
          `/cases/${id}/review`,
          '/outcomes',
          '/import',
          '/settings',
        ];
        for (const path of pages) {
          await open(page, path);
          const name = path.replace(id, 'ID');
          await expectAccessible(page, name);
          await expectNoSideways(page, name);
        }
      });

      test('the meetings of a chair', async ({ page }) => {
        await signIn(page, 'noor');
        await open(page, '/meetings');
        await expectAccessible(page, '/meetings');
        await expectNoSideways(page, '/meetings');
      });

      test('the pages of an administrator', async ({ page }) => {
        test.setTimeout(120_000);
        await signIn(page, 'office');
        for (const path of [
          '/',
          '/settings/users',
          '/settings/step-lists',
          '/settings/unit',
          '/settings/meeting-rules',
        ]) {
          await open(page, path);
          await expectAccessible(page, path);
          await expectNoSideways(page, path);
        }
      });
    });
  }
}
