// The report of a case beside that of the fellow eye, from the review and back.
import { expect, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { enter, makeCase } from './cases';

test('the earlier report stands beside this one', async ({ page }) => {
  const mara = await enter(page, 'mara');
  const earlier = await makeCase(page, mara, 'BESIDE-1');
  const stored = await (await page.request.get(`/api/v1/cases/${earlier.id}`)).json();
  const moved = await page.request.put(`/api/v1/cases/${earlier.id}`, {
    data: { ...stored, eye: 'OD', date: '2026-02-03', before: { ...stored.before, nuclearGrade: 2 } },
  });
  expect(moved.ok(), await moved.text()).toBe(true);
  const here = await makeCase(page, mara, 'beside-1');

  await page.goto(`/cases/${here.id}/review`);
  await page.getByRole('link', { name: 'Fellow eye, 3 Feb 2026' }).click();
  await expect(page.getByRole('row', { name: 'Eye Right eye (OD) Left eye (OS)' })).toBeVisible();
  await expect(page.getByRole('row', { name: 'Nuclear grade 2 Not known' })).toBeVisible();
  for (const name of ['Report on the earlier operation', 'Report on this operation']) {
    const side = page.getByRole('region', { name });
    await expect(side.getByRole('heading', { name: /Draft: no report of this case is signed/ })).toBeVisible();
    await expect(side.getByText(/BESIDE-1/i).first()).toBeVisible();
  }
  await expectAccessible(page, 'a report beside an earlier one');
  await page.getByRole('link', { name: 'Back to the review' }).click();
  await expect(page).toHaveURL(`/cases/${here.id}/review`);
});
