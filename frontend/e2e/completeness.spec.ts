// What follows from the record stands beside it, what is missing leads to its field, and each field has its history.
import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { enter } from './cases';
import { press, tabTo } from './keyboard';

const sizes = [
  { width: 1280, height: 720 },
  { width: 390, height: 844 },
];
const themes = ['light', 'dark'] as const;

async function put(page: Page, path: string, data: unknown): Promise<void> {
  const answer = await page.request.put(`/api/v1${path}`, { data });
  expect(answer.ok(), `${path}: ${await answer.text()}`).toBe(true);
}

async function read<T>(page: Page, path: string): Promise<T> {
  const answer = await page.request.get(`/api/v1${path}`);
  expect(answer.ok(), path).toBe(true);
  return answer.json();
}

const daysAgo = (days: number) => new Date(Date.now() - days * 86_400_000).toISOString().slice(0, 10);
const exam = { density: 2500, cells: 120, cv: 0.3, instrument: 'invented specular' };

/** A case of a year and a half ago with counts of both eyes before, and three visits; the last from another instrument. */
async function makeRecord(page: Page, person: { id: string }): Promise<string> {
  const id = crypto.randomUUID();
  await put(page, `/cases/${id}`, {
    id,
    revision: 0,
    pseudonym: `WHOLE-${id.slice(0, 6)}`,
    eye: 'OS',
    date: daysAgo(500),
    before: {
      age: 81,
      sex: 'male',
      acuity: '6/18',
      thickness: 540,
      pupil: 'small',
      exam: { ...exam, date: daysAgo(510) },
      fellowEye: { operated: 'no', exam: { ...exam, density: 2550, date: daysAgo(510) } },
    },
    operation: { techniquePlanned: 'phaco', techniquePerformed: 'phaco' },
    operators: [{ userId: person.id, role: 'operator', grade: 'consultant' }],
    sharedWith: [],
  });
  for (const [window, days, more] of [
    ['day-1', 499, { acuity: '6/12', thickness: 567 }],
    ['month-1', 470, { exam: { ...exam, density: 2425 } }],
    ['year-1', 130, { exam: { ...exam, density: 2000, instrument: 'invented confocal' } }],
  ] as const) {
    const visit = crypto.randomUUID();
    await put(page, `/cases/${id}/visits/${visit}`, {
      id: visit,
      caseId: id,
      revision: 0,
      window,
      date: daysAgo(days),
      ...more,
    });
  }
  return id;
}

test('what is missing leads to its field, by key and by address', async ({ page }) => {
  const id = await makeRecord(page, await enter(page, 'mara'));
  await page.goto(`/cases/${id}`);
  await expect(page.getByRole('button', { name: /^\d+ of \d+ items/ })).toBeVisible();
  const { completeness } = await read<{ completeness: { have: number; of: number; missing: { item: string }[] } }>(
    page,
    `/cases/${id}/record`,
  );
  const line = `${completeness.have} of ${completeness.of} items`;
  await press(page, line, 'Enter');
  const list = page.getByRole('region', { name: 'Items of the published minimum sets' });
  await expect(list.getByRole('listitem')).toHaveCount(completeness.missing.length);
  await press(page, 'The sets, and what is not counted', 'Enter');
  await expect(list.getByText('JAMA Ophthalmol')).toBeVisible();
  await expectAccessible(page, 'the list of what is missing');
  await page.keyboard.press('Escape');
  await expect(list).toHaveCount(0);

  // A field behind a closed line of the same part.
  await page.keyboard.press('Enter');
  await press(page, 'refraction before', 'Enter');
  await expect(page.getByLabel('Sphere').first()).toBeFocused();
  await expect(page).toHaveURL(new RegExp(`/cases/${id}$`));

  // One of another part, which is typed and so no longer missing.
  await page.getByRole('button', { name: line }).focus();
  await page.keyboard.press('Enter');
  await press(page, 'anaesthesia', 'Enter');
  await expect(page.getByLabel('Anaesthesia', { exact: true })).toBeFocused();
  await expect(page.getByLabel('Anaesthesia', { exact: true })).toBeInViewport();
  await page.keyboard.type('Sub');
  await expect(
    page.getByRole('button', { name: `${completeness.have + 1} of ${completeness.of} items` }),
  ).toBeVisible();

  // Addresses lead there when the page is opened.
  await page.goto(`/cases/${id}#visits.acuity`);
  await expect(page.getByRole('region', { name: 'Month 1' }).getByLabel('Acuity', { exact: true })).toBeFocused();
  await page.goto(`/cases/${id}#before.keratometry`);
  await expect(page.getByLabel('K flat')).toBeFocused();
  await page.goto(`/cases/${id}#operators`);
  await expect(page.getByLabel(/^Grade of/)).toBeFocused();
});

test('a record says what follows from it', async ({ page }) => {
  const id = await makeRecord(page, await enter(page, 'mara'));
  await page.goto(`/cases/${id}`);
  // 6/18 is decimal 1/3 and logMAR 0.477: arithmetic.
  await expect(page.getByText('logMAR 0.48, decimal 0.33')).toBeVisible();
  await page.getByLabel('Acuity', { exact: true }).fill('good');
  await expect(page.getByText('kept as typed, not converted')).toBeVisible();
  await page.getByLabel('Acuity', { exact: true }).fill('CF');
  await expect(page.getByText('logMAR 1.98, decimal 0.01 (Lange 2009)')).toBeVisible();

  await page.getByText('Factor by factor').click();
  const factors = page.getByRole('row');
  await expect(factors.filter({ hasText: 'Age' })).toContainText('80 to 89');
  await expect(page.getByText('factors are unknown')).toBeVisible();
  await page.getByRole('link', { name: /go to Glaucoma/ }).click();
  await expect(page.getByRole('group', { name: 'Glaucoma' }).getByLabel('Unknown')).toBeFocused();
  await page.keyboard.press('n');
  await expect(factors.filter({ hasText: 'Glaucoma' })).toContainText('1.00');

  await page.goto(`/cases/${id}/operation`);
  await expect(page.getByText('Does not count: nothing is recorded that falls under the definition.')).toBeVisible();
  await page.getByRole('button', { name: 'Add a complication' }).last().click();
  await page.getByLabel('What happened').selectOption({ label: 'Posterior capsule rupture' });
  await page.getByRole('button', { name: 'Save complication' }).click();
  await expect(page.getByText('Counts, for what is recorded: Posterior capsule rupture.')).toBeVisible();
});

test('endothelial counts are drawn over the visits, with what counting can tell', async ({ page }) => {
  const id = await makeRecord(page, await enter(page, 'mara'));
  await page.goto(`/cases/${id}/follow-up`);
  const result = page.getByRole('region', { name: 'Endothelial result' });
  const chart = result.getByRole('group', { name: 'Endothelial counts over the visits' });
  await expect(chart.locator('path.bar')).toHaveCount(4);
  // 2500 to 2425, 120 cells and CV 0.30 on both sides: loss 3.0 %, interval 100 (1 - 0.97 exp(+-1.96 0.0387)); arithmetic.
  await expect(
    page.getByRole('region', { name: 'Month 1' }).getByText('Loss of endothelial cells 3.0 % (−4.7 to 10.1 %)'),
  ).toContainText('within counting error: it may be no loss at all');
  await expect(page.getByRole('region', { name: 'Day 1' }).getByText('cornea 5.0 % thicker')).toBeVisible();

  const year1 = page.getByRole('region', { name: 'Year 1' });
  await expect(year1.getByText('different instruments or methods and are not compared')).toBeVisible();
  await result.getByLabel('Compare counts of different instruments').check();
  await expect(year1.getByText('Loss of endothelial cells 20.0 %')).toContainText('beyond counting error');
  await expect(year1.getByText(/Ageing alone would have left 24\d\d cells/)).toBeVisible();
  await expect(year1.getByText('compared on request')).toBeVisible();
  await result.getByText('Table of these numbers').click();
  await expect(result.getByRole('row')).toHaveCount(5);
  await expect(result.getByRole('row').last()).toContainText('fellow (OD)');
});

test('a field has its history, by key and by pointer', async ({ page }) => {
  const id = await makeRecord(page, await enter(page, 'mara'));
  await page.goto(`/cases/${id}`);
  await page.getByLabel('Age').fill('82');
  const stored = () => read<{ before: { age: number } }>(page, `/cases/${id}`);
  await expect.poll(async () => (await stored()).before.age).toBe(82);
  await page.getByLabel('Age').focus();
  await page.keyboard.press('F8');
  const dialog = page.getByRole('dialog', { name: 'History: Age' });
  await expect(dialog.getByRole('row').nth(1)).toContainText(/Age\s*81\s*82/);
  await expect(dialog.getByRole('rowheader', { name: 'Sex' })).toHaveCount(0);
  await expectAccessible(page, 'the history of a field');
  await page.keyboard.press('Escape');
  await expect(dialog).toHaveCount(0);
  await expect(page.getByLabel('Age')).toBeFocused();
  // The way to it is no stop of the Tab key.
  await tabTo(page, 'Sex', 1);

  await page.getByLabel('Pressure').hover();
  await page.locator('[data-field="before.pressure"]').getByRole('button', { name: 'History of this field' }).click();
  await expect(
    page.getByRole('dialog', { name: 'History: Pressure' }).getByText('Nothing was changed here yet.'),
  ).toBeVisible();
});

for (const viewport of sizes) {
  for (const theme of themes) {
    test(`the record is accessible at ${viewport.width} px, ${theme}`, async ({ page }) => {
      await page.setViewportSize(viewport);
      await page.emulateMedia({ colorScheme: theme });
      const id = await makeRecord(page, await enter(page, 'mara'));
      await page.goto(`/cases/${id}`);
      await page.getByText('Factor by factor').click();
      await page.getByLabel('Age').focus();
      await expectAccessible(page, 'the eye before');
      await page.getByRole('button', { name: /^\d+ of \d+ items/ }).click();
      await expectAccessible(page, 'what is missing');
      await page.goto(`/cases/${id}/operation`);
      await page.getByText('The definition', { exact: true }).click();
      await expectAccessible(page, 'the operation');
      await page.goto(`/cases/${id}/follow-up`);
      await page.getByText('Table of these numbers').click();
      await expectAccessible(page, 'the follow-up');
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(viewport.width);
    });
  }
}
