// Clinic staff enter follow-up of every case and see nothing of how it was operated; a colleague does not see the case.
import { expect, test } from '@playwright/test';
import { enter, makeCase } from './cases';

test('the clinic records a visit and sees no recording', async ({ page, browser }) => {
  const made = await makeCase(page, await enter(page, 'mara'), 'CLIN-0001');
  const clinic = await browser.newPage();
  await enter(clinic, 'grace');
  await clinic.goto(`/cases/${made.id}/follow-up`);
  const day1 = clinic.getByRole('region', { name: 'Day 1' });
  await day1.getByLabel('Date', { exact: true }).fill(new Date().toISOString().slice(0, 10));
  await day1.getByLabel('Acuity', { exact: true }).fill('6/9');
  await expect(day1.getByText('Saved')).toBeVisible();
  const visits = (await (await page.request.get(`/api/v1/cases/${made.id}/visits`)).json()) as {
    window: string;
    acuity: string;
  }[];
  expect(visits.map((v) => [v.window, v.acuity])).toEqual([['day-1', '6/9']]);

  await clinic.goto(made.at(0));
  await expect(clinic.locator('video')).toHaveCount(0);
  expect((await clinic.request.get(`/api/v1/media/parts/${made.part}`)).status()).toBeGreaterThanOrEqual(403);
  expect((await clinic.request.get(`/api/v1/cases/${made.id}/readings`)).status()).toBeGreaterThanOrEqual(403);
  await clinic.close();
});

test('a colleague who has nothing to do with a case does not find it', async ({ page, browser }) => {
  const made = await makeCase(page, await enter(page, 'mara'), 'MINE-0001');
  const colleague = await browser.newPage();
  await enter(colleague, 'tomas');
  await colleague.goto(`/cases/${made.id}`);
  await expect(
    colleague
      .getByRole('alert')
      .or(colleague.getByText(/no such case/i))
      .first(),
  ).toBeVisible();
  expect((await colleague.request.get(`/api/v1/cases/${made.id}`)).status()).toBe(404);
  expect((await colleague.request.get(`/api/v1/media/parts/${made.part}`)).status()).toBe(404);
  const list = (await (await colleague.request.get('/api/v1/cases?q=MINE-0001')).json()) as { cases: unknown[] };
  expect(list.cases).toEqual([]);
  await colleague.close();
});
