// Clinic staff read a file of visits in: what cannot be written is told, and the same file again changes nothing.
import { readFileSync } from 'node:fs';
import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { signIn } from './people';

interface Listed {
  id: string;
  pseudonym: string;
  eye: string;
  date: string;
}

/** The day after an operation. */
function dayAfter(date: string): string {
  return new Date(Date.parse(date) + 86_400_000).toISOString().slice(0, 10);
}

async function oldCase(page: Page): Promise<Listed> {
  const answer = await page.request.get('/api/v1/cases?descending=false&limit=1');
  const [first] = ((await answer.json()) as { cases: Listed[] }).cases;
  if (!first) throw new Error('The demo has no case.');
  return first;
}

async function take(page: Page, text: string): Promise<void> {
  await page.goto('/import');
  await page
    .getByLabel('Choose a file')
    .setInputFiles({ name: 'visits.csv', mimeType: 'text/csv', buffer: Buffer.from(text) });
}

/** Holds every request to write rows until it is let go, so that the page can be looked at meanwhile. */
async function held(page: Page): Promise<() => Promise<void>> {
  let free = () => {};
  const until = new Promise<void>((resolve) => {
    free = resolve;
  });
  await page.route('**/imports/*/apply', async (route) => {
    await until;
    await route.continue().catch(() => {}); // the page may have given the request up
  });
  return async () => {
    free();
    await page.unroute('**/imports/*/apply');
  };
}

test('a file is checked, written and told again', async ({ page }) => {
  test.setTimeout(120_000);
  await signIn(page, 'mara');
  const known = await oldCase(page);
  const acuity = `6/${7 + Math.floor(Math.random() * 90)}`;
  const row = `${known.pseudonym};${known.eye};${known.date};${dayAfter(known.date)};day 1;${acuity};16,5`;
  const file = `\ufeffcase;eye;operation date;date;visit;acuity;IOP\r\n${row}\r\nNO-SUCH-CASE;OD;;${known.date};;6/6;15\r\n`;
  await take(page, file);
  await expect(page.getByText('2 rows checked: 1 to write, 0 there already, 1 that cannot be.')).toBeVisible();
  await expect(page.getByRole('cell', { name: 'No such case', exact: true })).toBeVisible();
  await expectAccessible(page, 'a checked import');
  await page.setViewportSize({ width: 390, height: 844 });
  const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  expect(over, 'a checked import scrolls sideways by').toBeLessThanOrEqual(0);
  await expectAccessible(page, 'a checked import on a phone');
  await page.setViewportSize({ width: 1280, height: 720 });

  const release = await held(page);
  await page.getByRole('button', { name: 'Write 1 accepted row' }).click();
  await expect(page.getByRole('button', { name: 'Write 1 accepted row' })).toBeDisabled();
  await expectAccessible(page, 'an import that is being written');
  await release();
  await expect(page.getByText('Done: 1 of 2 rows written.')).toBeVisible();
  await expectAccessible(page, 'an import that is done');
  const loading = page.waitForEvent('download');
  await page.getByRole('link', { name: 'Report of every row' }).click();
  const report = readFileSync(await (await loading).path(), 'utf8');
  expect(report).toContain(',yes,');
  expect(report).toContain('no-case,no,pseudonym');

  await take(page, file);
  await expect(page.getByText('2 rows checked: 0 to write, 1 there already, 1 that cannot be.')).toBeVisible();
  await page.getByRole('button', { name: 'Cancel this import' }).click();
  await expect(page.getByText('Cancelled: 0 of 2 rows written.')).toBeVisible();
});

test('a whole file is written in one go, with refraction, images and the eye before', async ({ page }) => {
  test.setTimeout(120_000);
  await signIn(page, 'mara');
  const answer = await page.request.get('/api/v1/cases?descending=false&limit=1');
  const [mine] = ((await answer.json()) as { cases: Listed[] }).cases;
  if (!mine) throw new Error('The demo has no case.');
  const axis = Math.floor(Math.random() * 180);
  const file = [
    'case,eye,date,sphere,cylinder,axis,drops,ECD 1,cells 1,CV 1,ECD 2,cells 2,CV 2',
    `${mine.pseudonym},${mine.eye},${mine.date},-2.25,-0.75,${axis},,2510,101,31,2493,96,30`,
    `${mine.pseudonym},${mine.eye},${dayAfter(mine.date)},-0.25,-0.5,${axis},steroid drops,,,,,,`,
  ].join('\r\n');
  await take(page, file);
  await page.getByLabel('Rows dated before the operation').selectOption({ index: 1 });
  await page.getByRole('button', { name: 'Check the rows with these columns' }).click();
  await expect(page.getByText(/2 rows checked: 2 to write, 0 there already, 0 that cannot be/)).toBeVisible();
  await expect(page.getByText(/Before: Images listed from .* to 2 images/)).toBeVisible();

  const release = await held(page);
  await page.getByRole('button', { name: 'Write all rows, or none' }).click();
  await expect(page.getByText('Writing 2 rows in one go.')).toBeVisible();
  await expectAccessible(page, 'a whole file that is being written');
  await page.getByRole('button', { name: 'Stop, and write nothing' }).click();
  await expect(page.getByText(/2 rows checked: 2 to write/)).toBeVisible();
  await release();
  await page.getByRole('button', { name: 'Write all rows, or none' }).click();
  await expect(page.getByText('Done: 2 of 2 rows written.')).toBeVisible();
});
