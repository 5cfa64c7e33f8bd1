// The list of what is owed empties itself: clinic staff record the visit, the office says which visits are owed.
import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { enter } from './cases';
import { tabTo } from './keyboard';

// A server that was tested before has the cases of the earlier run too.
const run = Date.now().toString(36).toUpperCase();
const name = (n: number) => `OWED-${run}-${n}`;
const day = (ago: number) => new Date(Date.now() - ago * 86_400_000).toISOString().slice(0, 10);

interface Plan {
  window: string;
  dueDays: number;
  lateDays: number;
  required: boolean;
}

/** A case with a count before, operated on some days ago. */
async function operated(page: Page, pseudonym: string, ago: number): Promise<string> {
  const person = await enter(page, 'mara');
  const id = crypto.randomUUID();
  const answer = await page.request.put(`/api/v1/cases/${id}`, {
    data: {
      id,
      revision: 0,
      pseudonym,
      eye: 'OD',
      date: day(ago),
      before: { exam: { density: 2500, cells: 100 } },
      operation: { techniquePlanned: 'phaco', techniquePerformed: 'phaco' },
      operators: [{ userId: person.id, role: 'operator', grade: 'consultant' }],
      sharedWith: [],
    },
  });
  expect(answer.ok(), await answer.text()).toBe(true);
  return id;
}

async function addVisit(page: Page, caseId: string, window: string, date: string): Promise<void> {
  const id = crypto.randomUUID();
  const answer = await page.request.put(`/api/v1/cases/${caseId}/visits/${id}`, {
    data: { id, caseId, revision: 0, window, date, acuity: '6/9' },
  });
  expect(answer.ok(), await answer.text()).toBe(true);
}

async function plan(page: Page): Promise<Plan[]> {
  return ((await (await page.request.get('/api/v1/unit')).json()) as { windows: Plan[] }).windows;
}

/** Puts back the plan that stood before the test, whatever became of it. */
async function restore(page: Page, windows: Plan[]): Promise<void> {
  const now = await (await page.request.get('/api/v1/unit')).json();
  const answer = await page.request.put('/api/v1/unit', { data: { ...now, windows } });
  expect(answer.ok(), await answer.text()).toBe(true);
}

test('the clinic finds what is overdue by keyboard, records the visit with its count, and the case leaves the list', async ({
  page,
  browser,
}) => {
  const id = await operated(page, name(1), 100);
  await addVisit(page, id, 'day-1', day(99));
  const clinic = await browser.newPage();
  await enter(clinic, 'grace');
  await clinic.goto('/');
  await clinic.getByRole('link', { name: 'All that is owed' }).click();
  await expect(clinic).toHaveURL('/follow-up');

  await clinic.getByLabel('Overdue only').check();
  await expect(clinic).toHaveURL(/overdue=yes/);
  await clinic.getByLabel('Find').fill(name(1));
  const line = clinic.getByRole('link', { name: new RegExp(name(1)) });
  await expect(line).toContainText('Month 1');
  await expect(line).toContainText('overdue by 44 days');
  await expect(clinic.getByText('1 case owes a visit')).toBeVisible();
  const file = clinic.waitForEvent('download');
  await clinic.getByRole('link', { name: 'Export as CSV' }).click();
  const rows = (await (await (await file).createReadStream()).toArray()).join('').trim().split('\r\n');
  expect(rows).toHaveLength(2);
  expect(rows[1]).toContain(`${name(1)},OD,`);
  expect(rows[1]).toContain(',month-1,');

  await clinic.getByLabel('Find').press('ArrowDown');
  await expect(line).toBeFocused();
  await clinic.keyboard.press('Enter');
  await expect(clinic).toHaveURL(`/cases/${id}/follow-up?visit=month-1`);
  const month1 = clinic.getByRole('region', { name: 'Month 1' });
  await expect(month1.getByLabel('Date', { exact: true })).toBeFocused();
  await expect(month1.getByText('Overdue since')).toBeVisible();
  await tabTo(clinic, 'Acuity');
  await clinic.keyboard.type('6/6');
  await expect(month1.getByText('Saved')).toBeVisible();
  await expect(month1.getByText('Cell count overdue since').first()).toBeVisible();

  // The visit is in, its count is not: the case still owes it, and work begins at the count.
  await clinic.getByRole('link', { name: 'Back to follow-up due' }).click();
  await expect(clinic).toHaveURL(new RegExp(`/follow-up\\?.*${name(1)}`));
  await line.click();
  await expect(month1.getByLabel(/^Density/)).toBeFocused();
  await clinic.keyboard.type('2300');
  await expect(month1.getByText('Cell count overdue since')).toHaveCount(0);
  await expect(month1.getByText('Saved')).toBeVisible();
  await clinic.getByRole('link', { name: 'Back to follow-up due' }).click();
  await expect(clinic.getByText('No case that owes a visit fits')).toBeVisible();
  await clinic.close();
});

test('the clinic declares a case lost with a reason, and it leaves the list', async ({ page, browser }) => {
  await operated(page, name(2), 30);
  const clinic = await browser.newPage();
  await enter(clinic, 'grace');
  await clinic.goto('/follow-up');
  await clinic.getByLabel('Find').fill(name(2));
  await clinic.getByLabel('Find').press('Enter');
  await expect(clinic.getByRole('region', { name: 'Day 1' }).getByLabel('Date', { exact: true })).toBeFocused();
  await clinic.getByRole('button', { name: 'Declare lost to follow-up' }).click();
  await clinic.getByLabel('Reason').fill('moved away');
  await clinic.getByRole('button', { name: 'Declare lost to follow-up' }).click();
  await expect(clinic.getByText('moved away')).toBeVisible();
  await expect
    .poll(
      async () =>
        ((await (await clinic.request.get(`/api/v1/follow-up?q=${name(2)}`)).json()) as { total: number }).total,
    )
    .toBe(0);
  await clinic.close();
});

test('the office changes the plan, and the list follows', async ({ page, browser }) => {
  const id = await operated(page, name(3), 20);
  await addVisit(page, id, 'day-1', day(19));
  const office = await browser.newPage();
  await enter(office, 'office');
  const before = await plan(office);
  const owed = async () => {
    const answer = await page.request.get(`/api/v1/follow-up?q=${name(3)}`);
    const list = (await answer.json()) as { items: { window: string; overdue: boolean }[] };
    return list.items.map((i) => `${i.window} ${i.overdue ? 'overdue' : 'in time'}`);
  };
  expect(await owed()).toEqual(['month-1 in time']);
  try {
    await office.goto('/settings/unit');
    const week1 = office.getByRole('group', { name: 'Week 1' });
    await week1.getByLabel('Overdue after day').fill('3');
    await week1.getByLabel('Overdue after day').blur();
    await expect(week1.getByText('lies before the day on which the visit is due')).toBeVisible();
    await expect(office.getByRole('button', { name: 'Save the plan' })).toBeDisabled();
    await week1.getByLabel('Overdue after day').fill('14');
    await week1.getByLabel('Required').check();
    await expect(office.getByText('A case owes: day 1, week 1, month 1.')).toBeVisible();
    await office.getByRole('button', { name: 'Save the plan' }).click();
    await expect.poll(owed).toEqual(['week-1 overdue']);
  } finally {
    await restore(office, before);
  }
  await expect.poll(owed).toEqual(['month-1 in time']);
  await office.close();
});

test('the fit of the expected risk is off, and a window that is too short is refused with what it lacks', async ({
  page,
}) => {
  await enter(page, 'office');
  await page.goto('/settings/unit');
  const fit = page.getByRole('region', { name: 'Expected risk, fitted to this unit' });
  await expect(fit.getByText('Off: the published risk is shown as it is')).toBeVisible();
  await fit.getByLabel('Operations from').fill(day(7));
  await fit.getByRole('button', { name: 'Compute and use' }).click();
  await expect(fit.getByRole('alert')).toContainText('needs at least');
  await fit.getByRole('button', { name: 'Leave it as it was' }).click();
  await expect(fit.getByRole('alert')).toHaveCount(0);
  const unit = (await (await page.request.get('/api/v1/unit')).json()) as { recalibration: { on: boolean } | null };
  expect(unit.recalibration?.on ?? false).toBe(false);
});

test('the record of the unit leads to the cases that lack an item', async ({ page }) => {
  await enter(page, 'mara');
  await page.goto('/cases');
  await page.getByRole('link', { name: 'Unit record' }).first().click();
  await expect(page.getByRole('region', { name: 'Capsule rupture' })).toContainText('zonule with vitreous prolapse');
  const all = await page.getByText(/^\d+ operations/).textContent();
  await page.getByLabel('Technique performed').selectOption('msics');
  await expect(page).toHaveURL('/unit?technique=msics');
  await expect(page.getByText(/^\d+ operations/)).not.toHaveText(all ?? '');
  await page.goto('/unit');
  const completeness = page.getByRole('region', { name: 'Completeness' });
  await completeness
    .getByRole('button', { name: /lack it/ })
    .first()
    .click();
  await completeness.locator('.cases a').first().click();
  await expect(page).toHaveURL(/\/cases\/[0-9a-f-]+/);
});

const sizes = { wide: { width: 1280, height: 720 }, phone: { width: 390, height: 844 } };

for (const theme of ['light', 'dark'] as const) {
  for (const [size, viewport] of Object.entries(sizes)) {
    test(`the lists are readable by everybody: ${theme}, ${size}`, async ({ browser }) => {
      const context = await browser.newContext({ colorScheme: theme, viewport, reducedMotion: 'reduce' });
      const page = await context.newPage();
      await enter(page, 'grace');
      for (const path of ['/follow-up', '/follow-up?q=nobody-at-all', '/unit', '/unit?to=1990-01-01']) {
        await page.goto(path);
        await page.waitForLoadState('networkidle');
        await expect(page.getByRole('heading').first()).toBeVisible();
        await expectAccessible(page, path);
        const over = await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        );
        expect(over, `${path} scrolls sideways by`).toBeLessThanOrEqual(0);
      }
      await context.close();
    });
  }
}
