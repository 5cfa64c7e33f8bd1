// A study from the question to the report that never changes: what is planted in the invented unit is found (see package
// annotate/demo), kept, and the same whatever form it is taken away in.
import { createHash } from 'node:crypto';
import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { signIn } from './people';

/** Loss at one month against contacts of fragments, given what stands behind both. */
const asked = '/outcomes?outcome=loss&at=month-1&of=cde&given=nuclearGrade&technique=phaco';
/** The planted loss per contact, 0.006 in natural logarithms, as percent fewer cells left. */
const planted = 100 * -Math.expm1(-0.006);

const headline = (page: Page) => page.locator('.headline').first();
const sha256 = (bytes: Buffer) => createHash('sha256').update(bytes).digest('hex');

async function file(page: Page, name: RegExp): Promise<Buffer> {
  const href = await page.getByRole('link', { name }).getAttribute('href');
  const got = await page.context().request.get(href ?? '');
  expect(got.ok(), `${name}: ${got.status()}`).toBe(true);
  return got.body();
}

test('the planted relation is found, and a study of it is saved, frozen, opened again and taken away', async ({
  page,
}) => {
  await signIn(page, 'mara');

  // A first answer stands there at once, in view.
  await page.goto('/outcomes');
  await expect(headline(page)).toBeInViewport();
  await expect(page.getByRole('combobox', { name: 'Outcome', exact: true })).toHaveValue('loss');

  // The question is changed within its sentence, and stands in the address.
  await page.goto(asked);
  await page.getByRole('combobox', { name: 'Exposure 1', exact: true }).selectOption('contacts');
  await page.getByRole('button', { name: /1 factor/ }).press('Enter');
  const dispersive = page.getByRole('checkbox', { name: /dispersive OVD/ });
  await dispersive.press('Space');
  await expect(dispersive).toBeChecked();
  await expect(page).toHaveURL(/of=contacts&given=nuclearGrade,dispersive/);
  await expect(headline(page)).toContainText('with each further contact');
  await expect(page.getByText('A relation is shown: the interval leaves 0 out.')).toBeVisible();
  const interval = /^([\d.]+) to ([\d.]+) % fewer cells left/.exec((await headline(page).textContent()) ?? '');
  expect(Number(interval?.[1])).toBeLessThan(planted);
  expect(Number(interval?.[2])).toBeGreaterThan(planted);

  // A point leads to its case where the reader may see it.
  const chart = page.getByRole('group', { name: /against contacts of fragments with the endothelium\./ });
  await chart.focus();
  for (let i = 0; i < 60 && (await chart.getByRole('link').count()) === 0; i++) await page.keyboard.press('ArrowRight');
  await expect(chart.getByRole('link')).toHaveAttribute('href', /^\/cases\/[0-9a-f-]{36}$/);

  await page.getByRole('button', { name: 'Save as a study' }).click();
  await page.getByLabel('Name', { exact: true }).fill('Contacts and loss');
  await page.getByLabel('Why it is asked').fill('To see whether they go together.');
  await page.getByRole('button', { name: 'Save', exact: true }).click();
  await expect(page).toHaveURL(/\/outcomes\/[0-9a-f-]{36}$/);
  const study = page.url();
  await expect(page.getByRole('heading', { name: 'Contacts and loss' })).toBeVisible();
  await expectAccessible(page, 'a saved study');

  await page.getByRole('button', { name: 'Freeze the answer' }).click();
  await expect(page.getByRole('dialog')).toContainText('It cannot be taken back.');
  await page.getByRole('button', { name: 'Freeze for good' }).click();
  await expect(page).toHaveURL(/\/outcomes\/frozen\/[0-9a-f-]{36}$/);
  const letter = page.getByRole('article', { name: 'Contacts and loss, answer 1' });
  await expect(letter).toContainText(`${interval?.[1]} to ${interval?.[2]} %`);
  await expectAccessible(page, 'a frozen answer');

  // The study leads to it, later too.
  await page.goto(study);
  await page.getByRole('link', { name: 'Answer 1', exact: true }).click();
  await expect(letter).toBeVisible();

  const [csv, json] = [await file(page, /^CSV/), await file(page, /^JSON/)];
  const prints = await page.locator('code').allTextContents();
  expect(prints).toEqual([sha256(json), sha256(csv)]);
  const kept = JSON.parse(json.toString()) as { population: number };
  // One line for the names of the columns, one for each case.
  expect(csv.toString().trim().split('\r\n')).toHaveLength(1 + kept.population);
  expect(csv.toString()).not.toMatch(/\d{4}-\d{2}-\d{2}|[0-9a-f]{8}-[0-9a-f]{4}-7/);
  expect((await file(page, /^PDF/)).subarray(0, 5).toString()).toBe('%PDF-');
  expect((await file(page, /^XLSX/)).subarray(0, 2).toString()).toBe('PK');
});

test('a question can be given up, and one that cannot be answered says what would help', async ({ page }) => {
  await signIn(page, 'mara');

  // A server that never comes to an end.
  await page.route('**/api/v1/outcomes/answers', () => {});
  await page.goto(asked);
  await expect(page.getByRole('progressbar', { name: 'Working out the answer' })).toBeVisible();
  await page.getByRole('button', { name: 'Cancel' }).click();
  await expect(page.getByText('You cancelled this question')).toBeVisible();
  await page.unroute('**/api/v1/outcomes/answers');
  await page.getByRole('button', { name: 'Ask again' }).click();
  await expect(headline(page)).toBeVisible();

  // Of the last grade there are too few cases for a model.
  await page.getByRole('combobox', { name: 'Nuclear grade from' }).selectOption('5');
  await expect(page.getByRole('heading', { name: 'Nothing is modelled' })).toBeVisible();
  await expect(page.getByText('nothing is modelled under 20')).toBeVisible();
  await expectAccessible(page, 'nothing modelled');
  await page.getByRole('button', { name: 'Ask about the whole unit' }).click();
  await expect(headline(page)).toBeVisible();
  await expect(page).toHaveURL((url) => !url.search.includes('gradeFrom'));
});
