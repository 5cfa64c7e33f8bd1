// A new surgeon goes the whole way by hand: an empty case, a recording, twelve steps marked while it plays, what went
// wrong, the eye afterwards, a signed report. Every press, click and filled field of that way is counted.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { expect, type Locator, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { addPerson, signIn } from './people';

const mostInteractions = 60;
const frame = 1000 / 25; // ms; the film runs at 25 frames a second

/** The film's own script: when each step begins (s). Keys are those of the shipped step list. */
const steps = [
  { key: 's', name: 'Side port' },
  { key: 'v', name: 'OVD injection' },
  { key: 'm', name: 'Main incision' },
  { key: 'c', name: 'Capsulorhexis' },
  { key: 'h', name: 'Hydrodissection' },
  { key: 'g', name: 'Sculpting' },
  { key: 'd', name: 'Cracking or chopping' },
  { key: 'q', name: 'Segment removal' },
  { key: 'i', name: 'Cortex removal' },
  { key: 'l', name: 'Lens insertion' },
  { key: 'o', name: 'OVD removal' },
  { key: 'w', name: 'Wound hydration and check' },
];

class Hand {
  count = 0;
  constructor(readonly page: Page) {}
  async click(target: Locator): Promise<void> {
    this.count++;
    await target.click();
  }
  async fill(target: Locator, text: string): Promise<void> {
    this.count++;
    await target.fill(text);
  }
  async choose(target: Locator, label: string): Promise<void> {
    this.count++;
    await target.selectOption({ label });
  }
  async press(key: string): Promise<void> {
    this.count++;
    await this.page.keyboard.press(key);
  }
}

interface Seen {
  key: string;
  /** What the browser last told of a frame, and its playing position; they differ when it is too busy to tell in time. */
  ms: [number, number];
}

/** Notes, beside the page's own code, what the video showed at each key press. */
async function watchFrames(page: Page): Promise<void> {
  await page.evaluate(() => {
    const seen: { key: string; ms: [number, number] }[] = [];
    Object.assign(window, { seenAtKey: seen });
    let shown = 0;
    const video = document.querySelector('video') as HTMLVideoElement;
    const follow: VideoFrameRequestCallback = (_now, meta) => {
      shown = meta.mediaTime * 1000;
      video.requestVideoFrameCallback(follow);
    };
    video.requestVideoFrameCallback(follow);
    window.addEventListener(
      'keydown',
      (event) => seen.push({ key: event.key, ms: [shown, video.currentTime * 1000] }),
      {
        capture: true,
      },
    );
  });
}

/** How far a length is from the time between two key presses, by what was seen at each. */
function off(length: number, from: Seen, to: Seen): number {
  return Math.min(...from.ms.flatMap((a) => to.ms.map((b) => Math.abs(length - (b - a)))));
}

const playedTo = (page: Page, seconds: number) =>
  page.waitForFunction((s) => (document.querySelector('video') as HTMLVideoElement).currentTime >= s, seconds, {
    timeout: 60_000,
  });

test('an empty case becomes a signed report', async ({ page }) => {
  test.setTimeout(240_000);
  const login = `ines-${Date.now().toString(36)}`; // A demo unit may be used for several runs.
  const oneTime = await addPerson(page, login, 'Inês Moura', ['surgeon'], 'consultant');
  await signIn(page, login, oneTime);
  await page.getByLabel('Present password').fill(oneTime);
  await page.getByLabel('New password', { exact: true }).fill('a quiet harbour at dawn');
  await page.getByLabel('New password again').fill('a quiet harbour at dawn');
  await page.getByRole('button', { name: 'Change password' }).click();
  await page.getByRole('link', { name: 'New case' }).first().click();

  const hand = new Hand(page);
  const group = (name: string) => page.getByRole('group', { name });
  await hand.fill(page.getByLabel('Pseudonym'), 'NEW-0001');
  await hand.click(group('Eye').getByText('Right'));
  await hand.fill(page.getByLabel('Age'), '71');
  await hand.click(group('Sex').getByText('Female'));
  await hand.click(group('Nuclear grade').getByText('3', { exact: true }));
  await hand.click(group('Pupil').getByText('Large'));
  await hand.fill(page.getByLabel('Axial length'), '23.6');
  await hand.click(page.getByRole('button', { name: 'None of these' }));
  await hand.fill(page.getByLabel('Density'), '2600');
  await hand.fill(page.getByLabel('Cells counted'), '120');
  await hand.fill(page.getByLabel('CV of cell area'), '30');
  await expect(page.getByText('Saved', { exact: false }).first()).toBeVisible();

  await hand.click(page.getByRole('link', { name: 'Next: Operation' }));
  await hand.click(page.getByRole('button', { name: /recording/i }).first());
  await hand.click(page.getByRole('button', { name: /quiet-phaco\.mp4/ }));
  await page.waitForSelector('video');
  await page.waitForFunction(() => (document.querySelector('video') as HTMLVideoElement).readyState >= 2);

  await watchFrames(page);
  await hand.press('+');
  await hand.press(' ');
  // Markers need not lie where the film shows the step: what counts is the frame on the screen at the key press.
  let next = 1;
  for (const step of steps) {
    await playedTo(page, next);
    await hand.press(step.key);
    next += 3 + (next % 2);
    if (step.key === 'q') {
      await hand.press('2');
    }
  }
  await playedTo(page, next);
  await hand.press('.');
  await hand.press(' ');
  await expect(page.getByText('All saved')).toBeVisible();

  await hand.press('0');
  await hand.choose(page.getByLabel('What happened'), 'Corneal abrasion');
  await hand.click(page.getByRole('button', { name: 'Save complication' }));
  await hand.press('/');
  await hand.fill(page.getByLabel('Comment', { exact: true }), 'Chamber stable throughout; обзор хороший.');
  await hand.press('Control+Enter');
  await expect(page.getByText('All saved')).toBeVisible();
  await hand.fill(page.getByLabel('CDE'), '7.4');

  await hand.click(page.getByRole('link', { name: 'Next: Follow-up' }));
  const day1 = page.getByRole('region', { name: 'Day 1' });
  const month1 = page.getByRole('region', { name: 'Month 1' });
  await hand.fill(day1.getByLabel('Acuity'), '6/12');
  await hand.click(day1.getByRole('group', { name: 'Corneal oedema' }).getByText('1', { exact: true }));
  await hand.fill(month1.getByLabel('Acuity'), '6/6');
  await hand.click(month1.getByRole('group', { name: 'Corneal oedema' }).getByText('0', { exact: true }));
  await hand.fill(month1.getByLabel('Density'), '2288');
  await hand.fill(month1.getByLabel('Cells counted'), '120');
  await hand.fill(month1.getByLabel('CV of cell area'), '30');
  await expect(month1.getByText('Saved')).toBeVisible();

  await hand.click(page.getByRole('link', { name: 'Review' }).first());
  // Beside the unit's other cases; reading it is no part of the way to a signature.
  const beside = page.getByRole('region', { name: 'Beside other cases' });
  await expect(beside.getByText(/^What stands out: .*corneal abrasion/)).toBeVisible();
  await beside.getByText('Exposures and expected loss').click();
  await expect(beside.getByRole('group', { name: /^Percentile of this case/ })).toBeVisible();
  await expect(beside.getByText(/^12\.0 % of the cells were lost at month 1 /)).toBeVisible();
  await expectAccessible(page, 'beside other cases');

  await hand.click(page.getByRole('button', { name: /^Sign/ }).first());
  await hand.click(page.getByRole('dialog').getByRole('button', { name: 'Sign', exact: true }));
  await expect(page.getByText('Report 1, signed')).toBeVisible();
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    hand.click(page.getByRole('link', { name: 'PDF of report 1' })),
  ]);

  test.info().annotations.push({ type: 'interactions', description: String(hand.count) });
  console.info(`interactions from an empty case to a signed report: ${hand.count}`);
  expect(hand.count, 'interactions from an empty case to a signed report').toBeLessThanOrEqual(mostInteractions);

  const seen = await page.evaluate(() => (window as unknown as { seenAtKey: Seen[] }).seenAtKey);
  const pressed = [...steps.map((s) => s.key), '.'].map((key) => seen.find((s) => s.key === key) as Seen);
  const caseId = /cases\/([^/]+)/.exec(page.url())?.[1] ?? '';
  const reports = (await (await page.request.get(`/api/v1/cases/${caseId}/reports`)).json()) as { id: string }[];
  const content = (await (await page.request.get(`/api/v1/reports/${reports[0]?.id}/content.json`)).json()) as {
    steps: { name: string; total: number; quality: string }[];
    level: { complications: { at: { ms: number } }[] };
  };
  for (const [i, step] of steps.entries()) {
    const total = content.steps.find((s) => s.name === step.name)?.total ?? Number.NaN;
    const [from, to] = [pressed[i] as Seen, pressed[i + 1] as Seen];
    expect(off(total, from, to), `${step.name}: ${total} ms from ${from.ms} to ${to.ms}`).toBeLessThanOrEqual(frame);
  }

  const pdf = await download.path();
  execFileSync('qpdf', ['--check', pdf]);
  const text = execFileSync('pdftotext', ['-layout', pdf, '-']).toString();
  for (const word of ['Beside other cases', 'NEW-0001', 'Corneal abrasion', 'обзор', 'Segment removal', 'Inês Moura'])
    expect(text).toContain(word);
  // 100 (2600 - 2288)/2600 = 12 %.
  expect(text).toMatch(/12(\.0)? %/);
  expect(readFileSync(pdf).subarray(0, 5).toString()).toBe('%PDF-');

  // The complication leads to its moment of the film.
  await page.getByRole('button', { name: 'Back to the draft' }).click();
  await beside.getByRole('link', { name: /^watch it at/ }).click();
  const moment = content.level.complications[0]?.at.ms ?? Number.NaN;
  await expect
    .poll(() => page.evaluate(() => (document.querySelector('video')?.currentTime ?? Number.NaN) * 1000))
    .toBeGreaterThan(moment - 500);
  expect(await page.evaluate(() => (document.querySelector('video')?.currentTime ?? Number.NaN) * 1000)).toBeLessThan(
    moment + 500,
  );
});
