import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { enter } from './cases';

interface Line {
  id: string;
  pseudonym: string;
  tagged: boolean;
  recorded: boolean;
  stages: { stage: string }[];
}

/** Two marked cases with a recording that can be played, as the demo unit has them. */
async function twoMarked(page: Page): Promise<[Line, Line]> {
  const list = (await (await page.request.get('/api/v1/cases?state=&limit=200')).json()) as { cases: Line[] };
  const found: Line[] = [];
  for (const line of list.cases.filter((c) => c.tagged && c.recorded)) {
    const parts = (await (await page.request.get(`/api/v1/cases/${line.id}/parts`)).json()) as { state: string }[];
    if (parts[0]?.state === 'ok') found.push(line);
    if (found.length === 2) break;
  }
  expect(found, 'two marked cases with a recording').toHaveLength(2);
  return found as [Line, Line];
}

test('two recordings run together through the same step, and a comment is kept on one of them', async ({ page }) => {
  await enter(page, 'mara');
  const [a, b] = await twoMarked(page);
  await page.goto('/side-by-side');
  await page.getByLabel('Left: find a case').fill(a.pseudonym);
  await page.getByRole('button', { name: a.pseudonym }).click();
  await page.getByLabel('Right: find a case').fill(b.pseudonym);
  await page.getByRole('button', { name: b.pseudonym }).click();

  const left = page.getByRole('region', { name: `Left: ${a.pseudonym}` });
  const right = page.getByRole('region', { name: `Right: ${b.pseudonym}` });
  await expect(left).toBeVisible();
  await expect(right).toBeVisible();
  await page.getByLabel('stretched to the same length').check();
  const speeds = await Promise.all([left, right].map((s) => s.locator('header').textContent()));
  expect(speeds.join(' ')).toMatch(/\d×/);
  await page.getByRole('button', { name: 'Start both' }).click();
  const come = (side: typeof left) => side.getByRole('progressbar').getAttribute('aria-valuenow').then(Number);
  await expect.poll(() => come(left)).toBeGreaterThan(0);
  await expect.poll(() => come(right)).toBeGreaterThan(0);
  await page.getByRole('button', { name: 'Pause both' }).click();

  const words = `Compare the angle here ${Date.now()}`;
  await left.getByLabel('Comment at this moment').fill(words);
  await left.getByRole('button', { name: 'Keep' }).click();
  await expect(left.getByRole('status').last()).toContainText('Saved.');
  const readings = (await (await page.request.get(`/api/v1/cases/${a.id}/readings`)).json()) as {
    id: string;
    accepted: boolean;
  }[];
  const accepted = readings.find((r) => r.accepted)?.id;
  const state = (await (await page.request.get(`/api/v1/readings/${accepted}`)).json()) as {
    comments: { text: string }[];
  };
  expect(state.comments.map((c) => c.text)).toContain(words);

  await page.keyboard.press('Escape');
  await page.getByRole('heading', { name: 'Side by side' }).click();
  await page.keyboard.press('Home');
  await expect.poll(() => come(left)).toBe(0);
});

for (const theme of ['light', 'dark'] as const) {
  for (const size of [
    { width: 1280, height: 720 },
    { width: 390, height: 844 },
  ]) {
    test(`side by side is accessible, ${theme}, ${size.width} wide`, async ({ page }) => {
      await page.emulateMedia({ colorScheme: theme });
      await page.setViewportSize(size);
      await enter(page, 'mara');
      const [a, b] = await twoMarked(page);
      await page.goto(`/side-by-side?a=${a.id}`);
      await expect(page.getByLabel('Right: find a case')).toBeVisible();
      await expectAccessible(page, 'choosing');
      await page.goto(`/side-by-side?a=${a.id}&b=${b.id}`);
      await expect(page.getByRole('button', { name: 'Start both' })).toBeVisible();
      await expectAccessible(page, 'side by side');
    });
  }
}
