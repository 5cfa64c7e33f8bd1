import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { enter, makeCase } from './cases';

interface Marked {
  id: string;
}

/** A second reading of a case, marked through the interface. */
async function read(
  page: Page,
  made: { id: string; part: string },
  spans: [string, number, number][],
): Promise<string> {
  const reading = crypto.randomUUID();
  const list = { id: 'phaco', version: 1 };
  const put = await page.request.put(`/api/v1/cases/${made.id}/readings/${reading}`, { data: { stepList: list } });
  expect(put.ok(), await put.text()).toBe(true);
  const changes = spans.map(([step, from, to]) => {
    const id = crypto.randomUUID();
    const start = { part: made.part, ms: from };
    const marker = { id, seq: 0, step, stepList: list, start, end: { part: made.part, ms: to } };
    return { thing: 'marker', id, base: 0, marker };
  });
  const edit = { id: crypto.randomUUID(), action: 'add', changes, seq: 0, authorId: '', madeAt: 0 };
  const answer = await page.request.post(`/api/v1/readings/${reading}/edits`, { data: { edits: [edit] } });
  expect(answer.ok(), await answer.text()).toBe(true);
  return reading;
}

/** A case of mara's that anand supervises, which both have marked. */
async function readTwice(page: Page, pseudonym: string): Promise<Marked> {
  const mara = await enter(page, 'mara');
  const made = await makeCase(page, mara, pseudonym);
  const people = (await (await page.request.get('/api/v1/people')).json()) as {
    id: string;
    name: string;
    roles: string[];
  }[];
  const other = people.find((p) => p.roles.includes('trainer') && p.id !== mara.id);
  const kept = (await (await page.request.get(`/api/v1/cases/${made.id}`)).json()) as { operators: unknown[] };
  const operators = [...kept.operators, { userId: other?.id, role: 'supervisor', grade: 'consultant' }];
  const put = await page.request.put(`/api/v1/cases/${made.id}`, { data: { ...kept, operators } });
  expect(put.ok(), await put.text()).toBe(true);
  await read(page, made, [
    ['capsulorhexis', 10_000, 30_000],
    ['sculpting', 40_000, 70_000],
  ]);
  await enter(page, 'anand');
  await read(page, made, [
    ['capsulorhexis', 10_400, 30_000],
    ['sculpting', 40_000, 64_000],
  ]);
  return made;
}

test('two readings of a case are compared, one is chosen with a reason, and the choice is shown', async ({ page }) => {
  const made = await readTwice(page, `TWICE-${Date.now() % 100_000}`);
  await page.goto(`/cases/${made.id}/operation`);
  await page.getByRole('link', { name: 'Compare two readings' }).click();
  await expect(page.getByText(/differ in one place, together 0:06/)).toBeVisible();
  await expect(page.getByText(/first Sculpting, second no step|first no step, second Sculpting/)).toBeVisible();
  await expectAccessible(page, 'two readings');
  await page.setViewportSize({ width: 390, height: 844 });
  await page.emulateMedia({ colorScheme: 'dark' });
  await expectAccessible(page, 'two readings, dark, narrow');

  await page.getByRole('button', { name: /count instead/ }).click();
  await page.getByLabel('Reason').fill('Marked frame by frame.');
  await page.getByRole('button', { name: 'Let it count' }).click();
  await expect(page.getByText('“Marked frame by frame.”')).toBeVisible();

  await page.goto('/agreement');
  await expect(page.getByText(/marked by both/)).toBeVisible();
  await expectAccessible(page, 'agreement, dark, narrow');
  await page.setViewportSize({ width: 1280, height: 720 });
  await page.emulateMedia({ colorScheme: 'light' });
  await expectAccessible(page, 'agreement');
});
