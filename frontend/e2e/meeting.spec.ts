// A whole morbidity meeting with three people at once: a case that a rule brought, led blinded on the projector, followed on a
// phone through a lost network, recorded, and an action that the next meeting closes.
import { execFileSync } from 'node:child_process';
import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { arrive, nameOf, phone, plan } from './meetings';

/** What a phone was told, as text, with the addresses that it asked. */
function listen(page: Page): { text: string; asked: Promise<void>[] } {
  const heard = { text: '', asked: [] as Promise<void>[] };
  page.on('response', (answer) => {
    const type = answer.headers()['content-type'] ?? '';
    heard.text += `${answer.url()} ${JSON.stringify(answer.headers())}\n`;
    if (/json/.test(type) && /\/(meetings|actions|themes|inbox)/.test(answer.url())) {
      heard.asked.push(
        answer.text().then(
          (text) => {
            heard.text += `${text}
`;
          },
          () => {},
        ),
      );
    }
  });
  return heard;
}

test('a meeting of three, from a rule that brought a case to minutes and an action that is closed', async ({
  browser,
}) => {
  const chair = await arrive(browser, 'noor');
  const presenter = await arrive(browser, 'mara');
  const member = await arrive(browser, 'eleni', phone);
  const people = (await (await chair.request.get('/api/v1/people')).json()) as { id: string; name: string }[];
  const [mara, eleni] = [await nameOf(presenter), await nameOf(member)];

  const title = `Morbidity meeting ${Date.now() % 10_000}`;
  const id = await plan(chair, title, 0, mara, [eleni]);
  // The presenter knows the case, and so what the others must not be told.
  const inbox = (await (await presenter.request.get('/api/v1/inbox')).json()) as {
    entries: { caseId?: string; label: string; kind: string; state: string }[];
  };
  const entry = inbox.entries.find((e) => e.caseId && e.kind === 'capsule-rupture' && e.state === 'waiting');
  const known = await presenter.request.get(`/api/v1/cases/${entry?.caseId}`);
  const { pseudonym, date } = (await known.json()) as { pseudonym: string; date: string };
  const secrets = [entry?.caseId ?? '', pseudonym, date];

  await chair.getByRole('button', { name: 'Add from the inbox…' }).click();
  await chair.getByRole('button', { name: `Add ${entry?.label}`, exact: true }).click();
  await chair.getByRole('button', { name: 'Done', exact: true }).click();
  await expect(chair.getByRole('heading', { name: new RegExp(`^${entry?.label} `) })).toBeVisible();

  await chair.getByRole('button', { name: 'Begin the meeting' }).click();
  await expect(chair.getByRole('button', { name: 'Close the meeting' })).toBeVisible();

  const heard = listen(member);
  await presenter.goto(`/meetings/${id}/room`);
  await member.goto(`/meetings/${id}/room`);
  await chair.goto(`/meetings/${id}/room`);
  await expect(member.getByText('Nobody has begun to present yet.')).toBeVisible();
  await presenter.getByRole('button', { name: 'Begin with the first slide' }).click();
  const shown = (page: Page) => page.locator('article[data-slide]');
  const same = async (page: Page): Promise<void> => {
    const key = await shown(presenter).getAttribute('data-slide');
    await expect(shown(page)).toHaveAttribute('data-slide', key ?? '');
  };
  await same(member);
  await presenter.keyboard.press('Alt+ArrowDown');
  await presenter.keyboard.press('ArrowRight');
  await expect(shown(presenter)).toContainText('Situation');
  await same(member);
  await expect(member.getByText(`Following ${mara}`)).toBeVisible();
  await expectAccessible(presenter, 'the room, presenting');
  await expectAccessible(member, 'the room, following on a phone');

  // The network is lost on the phone, and the meeting goes on.
  await member.context().setOffline(true);
  await presenter.keyboard.press('ArrowRight');
  await expect(shown(presenter)).toContainText('Background');
  await expect(shown(member)).toContainText('Situation');
  await member.context().setOffline(false);
  await same(member);

  // The chair writes the record as it is said.
  await expect(shown(chair)).toContainText('Background');
  await chair.getByLabel('Discussion').fill('The chamber was shallow before the last piece.');
  await chair.getByRole('button', { name: 'Add a learning point' }).click();
  await chair.getByLabel('Learning point 1').fill('Fill the bag before the tip leaves.');
  await chair.getByRole('button', { name: 'Agree on an action' }).click();
  await chair.getByLabel('What is to be done').fill('Dispersive OVD on every tray');
  await chair.getByLabel('Owner').selectOption({ label: mara });
  await chair.getByRole('button', { name: 'Keep', exact: true }).click();
  await expect(chair.getByText('Dispersive OVD on every tray').first()).toBeVisible();
  await expect(chair.getByText(/Saved$/).first()).toBeVisible();

  // Another takes over in mid-meeting, and the phone follows.
  await chair.getByRole('button', { name: 'Take over presenting' }).click();
  await expect(chair.getByRole('group', { name: 'Lead the meeting' })).toBeVisible();
  await chair.keyboard.press('ArrowLeft');
  await expect(shown(member)).toContainText('Situation');
  await expect(shown(presenter)).toContainText('Situation');

  chair.once('dialog', (d) => void d.accept());
  await chair.getByRole('button', { name: 'Close the meeting…' }).click();
  await expect(member.getByText('The meeting is closed.')).toBeVisible();

  // The next meeting goes through what is open first, and closes it.
  const next = await plan(chair, `${title}, the next`, 1, mara, [eleni]);
  await chair.getByRole('button', { name: 'Begin the meeting' }).click();
  await chair.getByRole('button', { name: 'Close… Dispersive OVD on every tray' }).click();
  await chair.getByLabel('A word on closing it').fill('Seen on the trays.');
  await chair.getByRole('button', { name: 'Close at this meeting' }).click();
  await expect(chair.getByRole('button', { name: 'Close… Dispersive OVD on every tray' })).toHaveCount(0);
  expect(next).not.toBe(id);

  await member.goto(`/meetings/${id}/minutes`);
  await expect(member.getByText('The chamber was shallow before the last piece.')).toBeVisible();
  await expect(member.getByText('Seen on the trays.')).toBeVisible();
  const [download] = await Promise.all([
    member.waitForEvent('download'),
    member.getByRole('link', { name: 'PDF' }).click(),
  ]);
  const pdf = await download.path();
  execFileSync('qpdf', ['--check', pdf]);
  const text = execFileSync('pdftotext', ['-raw', pdf, '-']).toString().replace(/\s+/g, ' ');
  for (const said of ['The chamber was shallow', 'Fill the bag before', 'Dispersive OVD on every tray', 'Confidential'])
    expect(text).toContain(said);
  await member.goto('/meetings/themes');
  await expect(member.getByText('Fill the bag before the tip leaves.')).toBeVisible();
  await expectAccessible(member, 'themes');

  await Promise.all(heard.asked);
  for (const secret of secrets) {
    expect(heard.text, `a member is told ${secret}`).not.toContain(secret);
    expect(text, `the minutes tell ${secret}`).not.toContain(secret);
  }
  expect(people.length).toBeGreaterThan(3);
  for (const page of [chair, presenter, member]) await page.context().close();
});
