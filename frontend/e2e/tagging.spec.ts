// The tagging page: every correction by key, by mouse, without the network, and beside somebody else.
import { expect, type Page, test } from '@playwright/test';
import { enter, episodes, type MadeCase, makeCase, stored } from './cases';

async function open(page: Page, made: MadeCase, seconds: number): Promise<void> {
  await page.goto('about:blank');
  await page.goto(made.at(seconds));
  await page.waitForFunction(() => (document.querySelector('video')?.readyState ?? 0) >= 2);
  await expect(page.getByText(new RegExp(`frame ${Math.round(seconds * 25)}\\b`))).toBeVisible();
}

const saved = (page: Page) => expect(page.getByText('All saved')).toBeVisible();

const sheetLine = (page: Page, step: string) =>
  page
    .getByRole('region', { name: 'Running sheet' })
    .getByRole('button', { name: new RegExp(`^${step}`) })
    .first();

/** Presses a key so many times, no faster than a hand. */
async function press(page: Page, key: string, times = 1): Promise<void> {
  for (let i = 0; i < times; i++) await page.keyboard.press(key, { delay: 40 });
}

/** Side port 10 to 14 s, capsulorhexis 14 to 24 s, marked by key on a still picture. */
async function markTwo(page: Page, made: MadeCase): Promise<void> {
  await open(page, made, 10);
  await press(page, 's');
  await press(page, 'Shift+ArrowRight', 4);
  await press(page, 'c');
  await press(page, 'Control+ArrowRight');
  await press(page, '.');
  await saved(page);
}

const two = [
  ['side-port', 10_000, 14_000],
  ['capsulorhexis', 14_000, 24_000],
];

test('one key ends a step and starts the next; corrections by key, and back', async ({ page }) => {
  const made = await makeCase(page, await enter(page, 'mara'), 'KEYS-0001');
  await markTwo(page, made);
  expect(await episodes(page, made)).toEqual(two);

  await sheetLine(page, 'Capsulorhexis').click();
  await press(page, 'Shift+F'); // one frame later: 40 ms
  await expect.poll(async () => (await episodes(page, made))[1]).toEqual(['capsulorhexis', 14_000, 24_040]);
  await press(page, 'Control+z');
  await expect.poll(() => episodes(page, made)).toEqual(two);
  await press(page, 'Control+Shift+z');
  await expect.poll(async () => (await episodes(page, made))[1]).toEqual(['capsulorhexis', 14_000, 24_040]);

  // The page comes back as it was, and undo reaches behind the reload.
  await open(page, made, 20);
  await sheetLine(page, 'Capsulorhexis').click();
  await press(page, 'Shift+ArrowRight', 6);
  await expect(page.getByText(/frame 500\b/)).toBeVisible();
  await press(page, 'Shift+X');
  await expect
    .poll(() => episodes(page, made))
    .toEqual([two[0], ['capsulorhexis', 14_000, 20_000], ['capsulorhexis', 20_000, 24_040]]);
  await press(page, 'Control+z');
  await expect.poll(() => episodes(page, made)).toHaveLength(2);
  await press(page, 'Control+z');
  await expect.poll(() => episodes(page, made)).toEqual(two);

  await sheetLine(page, 'Capsulorhexis').click();
  await press(page, 'Delete');
  await expect.poll(() => episodes(page, made)).toEqual([two[0]]);
  await press(page, 'Backspace');
  await expect.poll(() => episodes(page, made)).toEqual(two);
});

test('an event, a comment with an answer, and a thread that is settled', async ({ page }) => {
  const made = await makeCase(page, await enter(page, 'mara'), 'KEYS-0002');
  await open(page, made, 12);
  await press(page, '2');
  await press(page, '/');
  await page.getByLabel('Comment', { exact: true }).fill('Chamber a little shallow here');
  await press(page, 'Control+Enter');
  await saved(page);
  const { events, comments } = await stored(page, made);
  expect(events.map((e) => [e.kind, e.at.ms])).toEqual([['fragment-contact', 12_000]]);
  expect(comments.map((c) => [c.text, c.settled])).toEqual([['Chamber a little shallow here', false]]);
});

test('a boundary is dragged with the mouse', async ({ page }) => {
  const made = await makeCase(page, await enter(page, 'mara'), 'DRAG-0001');
  await markTwo(page, made);
  const detail = page.locator('canvas').last();
  const box = await detail.boundingBox();
  if (!box) throw new Error('the detail line is not drawn');
  // The detail line keeps the playhead (24 s, the end of capsulorhexis) in its middle: take hold of it there.
  const from = box.x + box.width / 2;
  await page.mouse.move(from, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(from - 30, box.y + box.height / 2, { steps: 6 });
  await page.mouse.up();
  await saved(page);
  const end = (await episodes(page, made))[1]?.[2] ?? 0;
  expect(end).toBeLessThan(24_000);
  expect(end % 40, 'a boundary lies on a frame').toBe(0);
});

test('without the network the work goes on, and is sent once it is back', async ({ page, context }) => {
  const made = await makeCase(page, await enter(page, 'mara'), 'AWAY-0001');
  await markTwo(page, made);
  const before = (await stored(page, made)).seq;
  await context.setOffline(true);
  await press(page, '1');
  await press(page, 'Shift+ArrowRight', 2);
  await press(page, 'h');
  await press(page, 'Shift+ArrowRight', 3);
  await press(page, '.');
  await expect(page.getByRole('status').filter({ hasText: /not yet saved|kept on this computer/i })).toBeVisible();
  await context.setOffline(false);
  await expect(page.getByText('All saved')).toBeVisible({ timeout: 30_000 });
  expect(await episodes(page, made)).toEqual([...two, ['hydrodissection', 26_000, 29_000]]);
  expect((await stored(page, made)).seq).toBe(before + 3);
});

test('two people move the same marker: both versions are shown, nothing is settled silently', async ({
  page,
  browser,
}) => {
  const made = await makeCase(page, await enter(page, 'mara'), 'BOTH-0001');
  await markTwo(page, made);
  const elsewhere = await browser.newContext();
  const other = await elsewhere.newPage();
  await enter(other, 'mara');
  await open(other, made, 24);

  // From the same version: one frame later here, without the network; five frames later there.
  await page.context().setOffline(true);
  await sheetLine(page, 'Capsulorhexis').click();
  await press(page, 'Shift+F');
  await sheetLine(other, 'Capsulorhexis').click();
  await press(other, 'Shift+F', 5);
  await expect.poll(async () => (await episodes(other, made))[1]).toEqual(['capsulorhexis', 14_000, 24_200]);
  await page.context().setOffline(false);

  const dialog = page.getByRole('dialog');
  await expect(dialog).toBeVisible({ timeout: 30_000 });
  await expect(dialog).toContainText('0:24.040');
  await expect(dialog).toContainText('0:24.200');
  expect((await episodes(other, made))[1]).toEqual(['capsulorhexis', 14_000, 24_200]);
  await dialog.getByRole('button', { name: 'Keep mine' }).click();
  await expect.poll(async () => (await episodes(other, made))[1]).toEqual(['capsulorhexis', 14_000, 24_040]);
  await elsewhere.close();
});
