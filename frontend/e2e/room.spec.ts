// The film in the room: it goes where the presenter is on every device, a late one too; votes that nobody can trace; and two who
// write one record.
import { expect, type Page, test } from '@playwright/test';
import { makeCase } from './cases';
import { arrive, nameOf, phone, plan } from './meetings';

async function ask<T>(page: Page, method: 'get' | 'put' | 'post', path: string, data?: unknown): Promise<T> {
  const answer = await page.request[method](`/api/v1${path}`, { ...(data === undefined ? {} : { data }) });
  expect(answer.ok(), `${method} ${path}: ${await answer.text()}`).toBe(true);
  return answer.json();
}

/** A case with a film that may be shown, waiting in the inbox. */
async function filmToDiscuss(surgeon: Page): Promise<string> {
  const me = await ask<{ id: string }>(surgeon, 'get', '/me');
  const made = await makeCase(surgeon, me, `ROOM-${Date.now() % 100_000}`);
  const stored = await ask<object>(surgeon, 'get', `/cases/${made.id}`);
  await ask(surgeon, 'put', `/cases/${made.id}`, { ...stored, consent: { recording: 'yes', review: 'yes' } });
  await ask(surgeon, 'put', `/cases/${made.id}/parts/${made.part}/cleared`, { cleared: true });
  const entry = await ask<{ id: string }>(surgeon, 'post', `/cases/${made.id}/discuss`, {
    words: 'How the chamber is held.',
  });
  return entry.id;
}

interface Sheet {
  agenda: { id: string; kind: string; pack: object }[];
}

/** Media seconds at which the film of a device stands. */
const stands = (page: Page) => page.locator('video').evaluate((film: HTMLVideoElement) => film.currentTime);

test('the film follows the presenter, votes are nobody’s, and two who write lose nothing', async ({ browser }) => {
  const chair = await arrive(browser, 'noor');
  const presenter = await arrive(browser, 'mara');
  const member = await arrive(browser, 'eleni', phone);
  const [mara, eleni] = [await nameOf(presenter), await nameOf(member)];
  const entry = await filmToDiscuss(presenter);

  const id = await plan(chair, `Room ${Date.now() % 10_000}`, 0, mara, [eleni]);
  const { agenda, earlierActions, actions, remarks, may, change, ...planned } = await ask<Record<string, unknown>>(
    chair,
    'get',
    `/meetings/${id}`,
  );
  await ask(chair, 'put', `/meetings/${id}`, { ...planned, takesVotes: true });
  const itemId = crypto.randomUUID();
  const pack = { situation: 'A film.', background: '', assessment: '', recommendation: '', moments: [] };
  await ask(chair, 'put', `/meetings/${id}/items/${itemId}`, {
    id: itemId,
    revision: 0,
    place: 2,
    kind: 'case',
    title: 'Film',
    label: '',
    minutes: 10,
    presenterId: '',
    inboxIds: [entry],
    pack,
  });
  const sheet = await ask<Sheet>(chair, 'get', `/meetings/${id}`);
  const item = sheet.agenda.find((i) => i.id === itemId);
  const moments = [8000, 3000].map((ms, i) => ({
    id: crypto.randomUUID(),
    part: 1,
    ms,
    line: `Look at the tip ${i}`,
    step: '',
  }));
  await ask(chair, 'put', `/meetings/${id}/items/${itemId}`, { ...item, inboxIds: [], pack: { ...pack, moments } });
  await ask(chair, 'post', `/meetings/${id}/state`, { state: 'running' });

  await presenter.goto(`/meetings/${id}/room`);
  await member.goto(`/meetings/${id}/room`);
  await presenter.getByRole('button', { name: 'Begin with the first slide' }).click();
  await presenter.keyboard.press('Alt+ArrowDown');
  await presenter.keyboard.press('ArrowRight');
  await presenter.keyboard.press('ArrowRight');
  await expect(member.getByRole('article', { name: /Moment 1 of 2/ })).toBeVisible();
  await expect.poll(() => stands(presenter)).toBeCloseTo(8, 1);
  await expect.poll(() => stands(member)).toBeCloseTo(8, 1);

  await presenter.keyboard.press('Space');
  await expect.poll(() => stands(member)).toBeGreaterThan(9);
  const apart = async (page: Page): Promise<number> => {
    const [here, there] = await Promise.all([stands(presenter), stands(page)]);
    return Math.abs(here - there);
  };
  await expect.poll(() => apart(member)).toBeLessThan(1);
  await chair.goto(`/meetings/${id}/room`); // late
  await expect.poll(() => stands(chair)).toBeGreaterThan(9);
  await expect.poll(() => apart(chair)).toBeLessThan(1);
  await presenter.keyboard.press('Space');
  await expect.poll(() => apart(member)).toBeLessThan(0.05);
  await presenter.keyboard.press('ArrowRight');
  await expect.poll(() => stands(member)).toBeCloseTo(3, 1);

  await chair.getByRole('button', { name: /^Open the vote ?: Could it/ }).click();
  const cast = async (page: Page, answer: string): Promise<void> => {
    const vote = page.getByRole('region', { name: /^Vote: Could it/ });
    await vote.getByRole('button', { name: answer }).click();
    await expect(vote.getByText('You have voted.')).toBeVisible();
  };
  await presenter.getByRole('button', { name: 'Follow, with the form' }).click();
  await cast(chair, 'Probably not');
  await cast(member, 'Not preventable');
  await expect(member.getByText('The counts are shown once the chair has closed the vote.')).toBeVisible();
  await cast(presenter, 'Probably not');
  await chair.getByRole('button', { name: /^Close the vote ?: Could it/ }).click();
  const counted = member.getByRole('region', { name: /^Vote: Could it/ });
  await expect(counted.getByText('3 voted')).toBeVisible();
  await expect(counted.getByRole('definition')).toHaveText(['1', '2', '0', '0']);

  // The chair's words cannot be sent; the page is loaded anew, and they are still there. Meanwhile the presenter has written.
  await chair.route('**/record', (route) => route.abort());
  await chair.getByLabel('Discussion').fill('Said by the chair.');
  await expect(chair.getByText(/kept on this device and sent/)).toBeVisible();
  await presenter.getByLabel('Discussion').fill('Said by the presenter.');
  await presenter.getByRole('button', { name: 'Add a learning point' }).click();
  await expect(presenter.getByText(/Saved$/).first()).toBeVisible();
  chair.on('dialog', (d) => void d.accept());
  await chair.reload();
  await expect(chair.getByLabel('Discussion')).toHaveValue('Said by the chair.');
  await chair.unroute('**/record');
  const two = chair.getByRole('dialog', { name: 'Two versions of the record' });
  await expect(two.getByText('Said by the presenter.')).toBeVisible({ timeout: 30_000 });
  await two.getByRole('button', { name: 'All mine' }).click();
  await two.getByRole('button', { name: 'Keep this choice' }).click();
  await expect(presenter.getByLabel('Discussion')).toHaveValue('Said by the chair.');

  for (const page of [chair, presenter, member]) await page.context().close();
});
