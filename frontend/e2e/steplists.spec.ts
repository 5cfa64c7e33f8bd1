// An administrator changes a step list; markers keep the version they were made with; a technique is converted in mid-case.
import { expect, test } from '@playwright/test';
import { enter, makeCase, stored } from './cases';

test('an administrator copies a step list, changes it, and gets its next version', async ({ page }) => {
  await enter(page, 'office');
  await page.goto('/settings/step-lists');
  await page
    .getByRole('button', { name: 'Copy' })
    .or(page.getByRole('link', { name: 'Copy' }))
    .first()
    .click();
  const name = `Our small-incision ${Date.now().toString(36)}`;
  await page.getByLabel('Name of the list').fill(name);
  await page.getByRole('button', { name: /^Save|^Keep/ }).click();
  await expect(page.getByRole('heading', { name })).toBeVisible();
  await expect(page.getByText('version 1', { exact: false }).first()).toBeVisible();

  await page.getByRole('button', { name: 'Change', exact: true }).click();
  await page.getByLabel('Name of step 1', { exact: true }).fill('Opening the conjunctiva');
  await page.getByRole('button', { name: /^Save|^Keep/ }).click();
  await expect(page.getByText('version 2', { exact: false }).first()).toBeVisible();

  const lists = (await (await page.request.get('/api/v1/step-lists')).json()) as {
    id: string;
    version: number;
    name: string;
  }[];
  const mine = lists.find((l) => l.name === name);
  expect(mine?.version).toBe(2);
  const first = await page.request.get(`/api/v1/step-lists/${mine?.id}/1`);
  expect(((await first.json()) as { steps: { name: string }[] }).steps[0]?.name).toBe('Peritomy');
});

test('a technique is converted in mid-case: the keys change, what was marked stays', async ({ page }) => {
  const made = await makeCase(page, await enter(page, 'mara'), 'CONV-0001');
  await page.goto(made.at(10));
  await page.waitForFunction(() => (document.querySelector('video')?.readyState ?? 0) >= 2);
  // Until something is marked, another list can be taken.
  const lists = page.getByLabel('Steps of');
  await lists.selectOption('Manual small-incision surgery');
  await expect.poll(async () => (await stored(page, made)).stepList.id).toBe('msics');
  await expect(lists).toHaveValue('msics');
  await lists.selectOption('Phacoemulsification');
  await expect(lists).toHaveValue('phaco');
  await page.waitForFunction(() => (document.querySelector('video')?.readyState ?? 0) >= 2);
  await page.keyboard.press('s');
  await page.keyboard.press('Shift+ArrowRight');
  await page.keyboard.press('.');
  await expect(lists).toHaveCount(0);
  await page.keyboard.press('9');
  const dialog = page.getByRole('dialog');
  await dialog.getByLabel('Manual small-incision surgery').check();
  await dialog.getByRole('button', { name: 'Convert here' }).click();
  await page.keyboard.press('Shift+ArrowRight');
  await page.keyboard.press('n'); // nucleus prolapse: no step of phacoemulsification has this key
  await page.keyboard.press('Shift+ArrowRight');
  await page.keyboard.press('.');
  await expect(page.getByText('All saved')).toBeVisible();
  const reading = (await stored(page, made)) as unknown as {
    markers: { step: string; stepList: { id: string } }[];
    events: { kind: string; stepList?: { id: string } }[];
  };
  expect(reading.markers.map((m) => [m.step, m.stepList.id])).toEqual([
    ['side-port', 'phaco'],
    ['nucleus-prolapse', 'msics'],
  ]);
  expect(reading.events.map((e) => [e.kind, e.stepList?.id])).toEqual([['conversion', 'msics']]);
});
