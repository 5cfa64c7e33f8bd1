// Comparing as a trainer and as a trainee: what leads where, and what each of them must not see.
import { type APIRequestContext, type APIResponse, expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { signIn } from './people';

interface Lane {
  operator: string;
  name: string;
  own: boolean;
  points: { caseId?: string; at: { part: string; ms: number } | null; total: number }[] | null;
}
interface Row {
  kind: string;
  code: string;
  name: string;
  group: { n: number; operators: number; spread: number[] | null } | null;
  lanes: Lane[] | null;
}
interface Comparison {
  n: { cases: number; operators: number };
  rows: Row[] | null;
}

async function answer<T>(api: APIRequestContext, path: string): Promise<T> {
  const got = await api.get(`/api/v1${path}`);
  expect(got.ok(), `${path}: ${got.status()}`).toBe(true);
  return got.json() as Promise<T>;
}

const lanesOf = (c: Comparison) => (c.rows ?? []).flatMap((r) => r.lanes ?? []);

/** Ids of every case that the person sees. */
async function ownCases(api: APIRequestContext): Promise<Set<string>> {
  const ids = new Set<string>();
  let cursor = '';
  do {
    const part = await answer<{ cases: { id: string }[]; next: string }>(api, `/cases?limit=100&cursor=${cursor}`);
    for (const c of part.cases) ids.add(c.id);
    cursor = encodeURIComponent(part.next);
  } while (cursor);
  return ids;
}

/** Records a review of the person's own chart, two hundred days ago. */
function putReview(api: APIRequestContext): Promise<APIResponse> {
  const id = crypto.randomUUID();
  const date = new Date(Date.now() - 200 * 86_400_000).toISOString().slice(0, 10);
  const review = { id, operator: 'me', kind: 'capsule-rupture', date, reason: 'looked at together' };
  return api.put(`/api/v1/compare/monitoring/reviews/${id}`, { data: review });
}

async function open(page: Page, path: string): Promise<void> {
  await page.goto(path);
  await page.waitForLoadState('networkidle');
  await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
}

/** The first row of a step, opened. */
const row = (page: Page, name: string) => page.getByRole('article', { name, exact: true });

test.describe('a trainer', () => {
  test('sees the trainees they supervised, in the order of the names, and a point opens the video at the step', async ({
    page,
  }) => {
    await signIn(page, 'mara');
    const api = page.context().request;
    const compared = await answer<Comparison>(api, '/compare?technique=phaco');
    const names = [...new Set(lanesOf(compared).map((l) => (l.own ? 'You' : l.name)))];
    expect(names[0]).toBe('You');
    expect(names.length, 'the demo unit has trainees whom this trainer supervised').toBeGreaterThan(1);
    expect(names.slice(1)).toEqual([...names.slice(1)].sort((a, b) => a.localeCompare(b)));

    await open(page, '/compare');
    const films = await answer<{ cases: { id: string }[] }>(api, '/cases?q=FILM');
    const playable = new Set(films.cases.map((c) => c.id));
    const rhexis = row(page, 'Capsulorhexis');
    await rhexis.scrollIntoViewIfNeeded();
    const chart = rhexis.getByRole('group', { name: /time of each case by person/ });
    const link = chart.getByRole('link');
    await chart.focus();
    let href = '';
    // Along the first lane by key until a case whose film plays.
    for (let i = 0; i < 200 && !playable.has(href.split('/')[2] ?? ''); i++) {
      await page.keyboard.press('ArrowRight');
      await expect(link).toHaveAttribute('href', /^\/cases\/[^/]+\/operation#part=.+&t=\d/);
      href = (await link.getAttribute('href')) ?? '';
    }
    expect(playable.has(href.split('/')[2] ?? ''), 'a case with a film is among the points').toBe(true);
    await expect(chart.getByRole('status')).toContainText('Open the video here');
    await page.keyboard.press('Enter');
    await expect(page).toHaveURL((url) => url.pathname + url.hash === href);
    const seconds = Number(/&t=([\d.]+)/.exec(href)?.[1]);
    expect(seconds).toBeGreaterThan(1);
    await expect
      .poll(() => page.evaluate(() => document.querySelector('video')?.currentTime ?? -1), { timeout: 20_000 })
      .toBeCloseTo(seconds, 0);
  });

  test('the choices stand in the address, and the way back leads to them', async ({ page }) => {
    await signIn(page, 'mara');
    await open(page, '/compare');
    await page.getByLabel('Cases', { exact: true }).selectOption('whole');
    await expect(page).toHaveURL(/part=whole/);
    await page.getByLabel('Nuclear grade from').selectOption({ index: 2 });
    await expect(page).toHaveURL(/gradeFrom=2/);
    await page.goBack();
    await expect(page).toHaveURL((url) => !url.search.includes('gradeFrom'));
    await expect(page.getByLabel('Cases', { exact: true })).toHaveValue('whole');
  });

  test('a row opens into the learning curve of the person chosen, with its table and file', async ({ page }) => {
    await signIn(page, 'mara');
    await open(page, '/compare');
    const rhexis = row(page, 'Capsulorhexis');
    await rhexis.getByRole('button', { name: 'Learning curve' }).click();
    await expect(page).toHaveURL(/open=step(%3A|:)capsulorhexis/);
    await expect(rhexis.getByRole('heading', { level: 4 })).toContainText('learning curve');
    const curve = rhexis.getByRole('figure');
    await curve.getByText('Table of these numbers').click();
    const download = page.waitForEvent('download');
    await curve.getByRole('button', { name: 'Save as CSV' }).click();
    expect((await download).suggestedFilename()).toMatch(/learning-curve\.csv$/);
    await page.reload();
    await expect(rhexis.getByRole('heading', { level: 4 })).toBeVisible();
  });

  test('the same numbers come as files', async ({ page }) => {
    await signIn(page, 'mara');
    await open(page, '/compare');
    for (const kind of ['CSV', 'XLSX']) {
      const href = await page.getByRole('link', { name: kind, exact: true }).getAttribute('href');
      const got = await page.context().request.get(href ?? '');
      expect(got.ok(), `${kind}: ${got.status()}`).toBe(true);
      expect((await got.body()).length).toBeGreaterThan(200);
    }
  });

  test('after a review the chart begins again, and says why', async ({ page }) => {
    await signIn(page, 'mara');
    const kept = await putReview(page.context().request);
    expect(kept.ok(), await kept.text()).toBe(true);
    await open(page, '/compare/monitoring');
    await expect(
      page.getByRole('heading', { name: 'Signals: worse than expected climbs, better goes down' }),
    ).toBeVisible();
    await expect(page.locator('main')).toContainText('restart: looked at together');
    await expect(page.locator('main')).toContainText(/1 false alarm in [\d,]+ cases/);
    await page.getByLabel('Whose operations').selectOption({ label: 'The whole unit’s' });
    await expect(page).toHaveURL(/operator=(&|$)/);
    await expect(page.locator('main')).not.toContainText('restart: looked at together');
  });

  test('nobody is ranked: the lanes stand alike in every row', async ({ page }) => {
    await signIn(page, 'mara');
    const compared = await answer<Comparison>(page.context().request, '/compare?technique=phaco');
    const orders = new Set((compared.rows ?? []).map((r) => (r.lanes ?? []).map((l) => l.operator).join()));
    expect(orders.size).toBe(1);
  });
});

test.describe('a trainee', () => {
  test('sees themself beside an unnamed group: no other name, no case of others', async ({ page }) => {
    await signIn(page, 'eleni');
    const api = page.context().request;
    const compared = await answer<Comparison>(api, '/compare?technique=phaco');
    const own = await ownCases(api);
    expect(lanesOf(compared).length).toBeGreaterThan(0);
    expect(lanesOf(compared).every((l) => l.own)).toBe(true);
    for (const lane of lanesOf(compared)) {
      for (const p of lane.points ?? []) if (p.caseId) expect(own.has(p.caseId)).toBe(true);
    }
    for (const r of compared.rows ?? []) if (r.group) expect(r.group.operators).toBeGreaterThanOrEqual(3);

    await open(page, '/compare');
    const people = await answer<{ name: string }[]>(api, '/people');
    const me = await answer<{ name: string }>(api, '/me');
    const html = await page.locator('main').innerHTML();
    for (const { name } of people) if (name !== me.name) expect(html).not.toContain(name);
  });

  test('may not ask for the curve or the chart of another, nor for the chart of the unit', async ({ page }) => {
    await signIn(page, 'eleni');
    const api = page.context().request;
    const me = await answer<{ id: string }>(api, '/me');
    const others = (await answer<{ id: string }[]>(api, '/people')).filter((p) => p.id !== me.id);
    expect(others.length).toBeGreaterThan(0);
    for (const other of others) {
      for (const path of [
        `/compare/learning?technique=phaco&kind=step&step=capsulorhexis&operator=${other.id}`,
        `/compare/monitoring?kind=capsule-rupture&operator=${other.id}`,
      ]) {
        expect((await api.get(`/api/v1${path}`)).status(), path).toBe(404);
      }
    }
    expect((await api.get('/api/v1/compare/monitoring?kind=capsule-rupture')).status()).toBe(403);
    const funnel = await answer<{ points: Record<string, unknown>[] | null }>(
      api,
      '/compare/funnel?kind=capsule-rupture',
    );
    for (const point of funnel.points ?? []) expect(Object.keys(point)).not.toContain('operator');
    expect((await putReview(api)).status()).toBe(403);
    await open(page, '/compare/monitoring');
    await expect(page.getByLabel('Whose operations')).toHaveValue('me');
    await expect(page.getByLabel('Whose operations').locator('option')).toHaveCount(1);
  });
});

test('an administrator has nobody to compare', async ({ page }) => {
  await signIn(page, 'office');
  await expect(page.getByRole('navigation', { name: 'Places' }).getByRole('link', { name: 'Compare' })).toHaveCount(0);
  expect((await page.context().request.get('/api/v1/compare')).status()).toBe(403);
});

const sizes = { wide: { width: 1280, height: 720 }, phone: { width: 390, height: 844 } };
for (const theme of ['light', 'dark'] as const) {
  for (const [size, viewport] of Object.entries(sizes)) {
    test.describe(`${theme}, ${size}`, () => {
      test.use({ colorScheme: theme, viewport, reducedMotion: 'reduce' });
      for (const login of ['mara', 'eleni']) {
        test(`comparing is accessible and fits for ${login}`, async ({ page }) => {
          test.setTimeout(240_000);
          await signIn(page, login);
          for (const path of ['/compare', '/compare?open=step:capsulorhexis', '/compare/monitoring']) {
            await open(page, path);
            await expectAccessible(page, path);
            const over = await page.evaluate(
              () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
            );
            expect(over, `${path} scrolls sideways by`).toBeLessThanOrEqual(0);
          }
        });
      }
    });
  }
}
