import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { enter, type MadeCase, makeCase, stored } from './cases';
import { addPerson, signIn } from './people';

const newPassword = 'a-long-walk-by-the-harbour';

/** A person who has chosen a password; the page stays signed in as them. */
async function begin(page: Page, login: string, name: string, role: string): Promise<{ id: string }> {
  const once = await addPerson(page, login, name, [role], role === 'trainee' ? 'junior-trainee' : 'consultant');
  const origin = { data: { login, password: once } };
  const person = (await (await page.request.post('/api/v1/sign-in', origin)).json()) as { id: string };
  const changed = await page.request.post('/api/v1/me/password', { data: { old: once, new: newPassword } });
  expect(changed.ok(), await changed.text()).toBe(true);
  return person;
}

/** A case of a new trainee that mara supervises, with one step marked and one comment of hers. */
async function taught(page: Page, trainee: { id: string }, pseudonym: string): Promise<MadeCase> {
  const mara = await enter(page, 'mara');
  const made = await makeCase(page, mara, pseudonym);
  const kept = (await (await page.request.get(`/api/v1/cases/${made.id}`)).json()) as object;
  const operators = [
    { userId: trainee.id, role: 'operator', grade: 'junior-trainee' },
    { userId: mara.id, role: 'supervisor', grade: 'consultant' },
  ];
  const put = await page.request.put(`/api/v1/cases/${made.id}`, { data: { ...kept, operators } });
  expect(put.ok(), await put.text()).toBe(true);

  const reading = crypto.randomUUID();
  const stepList = { id: 'phaco', version: 1 };
  await page.request.put(`/api/v1/cases/${made.id}/readings/${reading}`, { data: { stepList } });
  const [marker, comment] = [crypto.randomUUID(), crypto.randomUUID()];
  const at = { part: made.part, ms: 12_000 };
  const changes = [
    {
      thing: 'marker',
      id: marker,
      base: 0,
      marker: { id: marker, seq: 0, step: 'capsulorhexis', stepList, start: at, end: { part: made.part, ms: 30_000 } },
    },
    {
      thing: 'comment',
      id: comment,
      base: 0,
      comment: {
        id: comment,
        seq: 0,
        authorId: '',
        madeAt: 0,
        at,
        text: 'Regrasp nearer to the tear here.',
        settled: false,
      },
    },
  ];
  const edit = { id: crypto.randomUUID(), action: 'add', changes, seq: 0, authorId: '', madeAt: 0 };
  const answer = await page.request.post(`/api/v1/readings/${reading}/edits`, { data: { edits: [edit] } });
  expect(answer.ok(), await answer.text()).toBe(true);
  return made;
}

/** Looks at the page in both sizes and both themes. */
async function accessibleEverywhere(page: Page, name: string): Promise<void> {
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme });
    for (const viewport of [
      { width: 390, height: 844 },
      { width: 1280, height: 720 },
    ]) {
      await page.setViewportSize(viewport);
      await expectAccessible(page, `${name}, ${colorScheme}, ${viewport.width}`);
    }
  }
  await page.emulateMedia({ colorScheme: 'light' });
}

test('a comment reaches the trainee, who sees it, answers, is assessed, agrees on a goal and reads the summary', async ({
  page,
}) => {
  test.setTimeout(300_000);
  const mark = Date.now() % 1_000_000;
  const login = `pupil${mark}`;
  const trainee = await begin(page, login, `Pupil ${mark}`, 'trainee');
  const pseudonym = `TAUGHT-${mark}`;
  const made = await taught(page, trainee, pseudonym);

  // The trainer assesses by keyboard.
  await page.goto(`/cases/${made.id}/review`);
  await page.getByRole('button', { name: 'Assess', exact: true }).click();
  const dialog = page.getByRole('dialog', { name: 'Assess the operation' });
  await expect(dialog.getByRole('link', { name: /watch from 0:12.0/ })).toBeVisible();
  const item = dialog.getByRole('group', { name: /The capsule opening is round/ });
  await item.getByRole('radio', { name: 'Not seen' }).focus();
  await page.keyboard.press('3');
  await expect(item.getByRole('radio', { name: /^3 / })).toBeChecked();
  await page.keyboard.press('Tab');
  await page.keyboard.type('Small but round.');
  await expect(dialog.getByText('1 of 11 judged')).toBeVisible();
  await accessibleEverywhere(page, 'assessment form');
  await dialog.getByRole('button', { name: 'Keep' }).click();
  await page.getByText(`Pupil ${mark}, by`).click();
  await expect(page.getByText('Small but round.')).toBeVisible();

  // The same assessment changed from another place meanwhile: both versions are told, and neither is lost.
  await page.getByRole('button', { name: 'Change', exact: true }).click();
  const change = page.getByRole('dialog', { name: 'Change the assessment' });
  const address = `/api/v1/cases/${made.id}/assessments`;
  const [before] = (await (await page.request.get(address)).json()) as [{ id: string }];
  const other = { ...before, remark: 'From the other room.' };
  expect((await page.request.put(`${address}/${before.id}`, { data: other })).ok()).toBe(true);
  await change.getByLabel('Remark').fill('From this room.');
  await change.getByRole('button', { name: 'Keep' }).click();
  await expect(change.getByText(/Stored now:.*From the other room\./)).toBeVisible();
  await expect(change.getByLabel('Remark')).toHaveValue('From this room.');
  await change.getByRole('button', { name: 'Go on with mine' }).click();
  await change.getByRole('button', { name: 'Keep' }).click();
  await expect(change).toHaveCount(0);
  const [after] = (await (await page.request.get(address)).json()) as [{ remark: string }];
  expect(after.remark).toBe('From this room.');

  // A goal is agreed.
  await page.goto(`/progress/${trainee.id}`);
  await page.getByRole('button', { name: 'Agree on a goal' }).click();
  await page.getByLabel('Goal', { exact: true }).fill('Regrasp twice in each rhexis');
  await page.getByLabel('Step', { exact: true }).selectOption({ label: 'Capsulorhexis' });
  await page.getByRole('button', { name: 'Keep' }).click();
  await expect(page.getByText('Regrasp twice in each rhexis').first()).toBeVisible();

  // Another trainer, who never supervised this trainee, gets nothing.
  await enter(page, 'anand');
  expect((await page.request.get(`/api/v1/people/${trainee.id}/progress`)).status()).toBe(404);
  expect((await page.request.get(`/api/v1/people/${trainee.id}/goals`)).status()).toBe(404);
  await page.goto(`/progress/${trainee.id}`);
  await expect(page.getByRole('alert')).toContainText('The summary could not be read');
  await expect(page.getByText('Regrasp twice')).toHaveCount(0);

  // The trainee finds the comment, opens it at its moment, and answers.
  await page.context().clearCookies();
  await signIn(page, login, newPassword);
  const group = page.getByRole('region', { name: /Feedback/ });
  await expect(group.getByText('Regrasp nearer to the tear here.')).toBeVisible();
  await expect(group.getByText('New')).toBeVisible();
  await accessibleEverywhere(page, 'Today with feedback');
  // Found by another way, its line in the running sheet says that it is new.
  const line = page.getByRole('button', { name: /Regrasp nearer to the tear here/ });
  await page.goto(`/cases/${made.id}/operation`);
  await expect(line.getByText('new', { exact: true })).toBeVisible();
  await page.goto('/');
  await group.getByRole('link', { name: /Watch/ }).click();
  await expect(page).toHaveURL(new RegExp(`/cases/${made.id}/operation#part=.*t=12`));
  await line.click();
  await expect(line.getByText('new', { exact: true })).toHaveCount(0);
  await page.getByLabel('Answer', { exact: true }).fill('I will.');
  await page.getByRole('button', { name: 'Answer', exact: true }).click();
  await expect.poll(async () => (await stored(page, made)).comments.map((c) => c.text)).toContain('I will.');
  await page.goto('/');
  await expect(page.getByRole('heading', { name: 'Today' })).toBeVisible();
  const told = (await (await page.request.get('/api/v1/feedback')).json()) as { seen: boolean }[];
  expect(told.map((f) => f.seen)).toEqual([true]);
  await expect(page.getByRole('region', { name: /Feedback/ })).toHaveCount(0);

  // The trainee reads the summary and takes the PDF; what became of the goal is said.
  await page.goto(`/progress/${trainee.id}`);
  await expect(page.getByText('Small but round.')).toBeVisible();
  await expect(page.getByText('1 comment received, 0 not seen yet')).toBeVisible();
  await page.getByRole('button', { name: /Change, or say how it went/ }).click();
  await page.getByRole('radio', { name: 'Met' }).check();
  await page.getByLabel('How it went').fill('Three in a row.');
  await page.getByRole('button', { name: 'Keep' }).click();
  await expect(page.getByText('Three in a row.')).toBeVisible();
  await accessibleEverywhere(page, 'progress');
  const download = page.waitForEvent('download');
  await page.getByRole('link', { name: 'Download the PDF' }).click();
  expect((await download).suggestedFilename()).toMatch(/\.pdf$/);
});

test('a trainer copies the shipped form and changes it; the old version stays', async ({ page }) => {
  await enter(page, 'mara');
  const name = `Rhexis only ${Date.now() % 1_000_000}`;
  await page.goto('/settings/assessment-forms');
  await page.getByRole('link', { name: 'Copy How the steps went' }).click();
  await page.getByLabel('Name', { exact: true }).fill(name);
  await page.getByRole('button', { name: 'Remove item 11' }).click();
  await accessibleEverywhere(page, 'form editor');
  await page.getByRole('button', { name: 'Save the copy' }).click();
  await expect(page.getByRole('heading', { name, level: 1 })).toBeVisible();
  await page.getByRole('button', { name: 'Change' }).click();
  await page.getByLabel('Item 1', { exact: true }).fill('Wounds hold by themselves');
  await page.getByRole('button', { name: 'Save as version 2' }).click();
  await expect(page.getByText('Wounds hold by themselves')).toBeVisible();
  await accessibleEverywhere(page, 'form');
  await page.getByLabel('Version').selectOption('1');
  await expect(page.getByText('Wounds hold by themselves')).toHaveCount(0);
  await page.getByLabel('Version').selectOption('2');
  await page.getByRole('button', { name: 'Retire' }).click();
  await expect(page.getByText(/retired: no longer offered/)).toBeVisible();
});
