// Cases made through the interface of the server, for tests that begin in the middle of the work.
import { type APIRequestContext, expect, type Page } from '@playwright/test';
import { demoPassword } from './people';

export interface MadeCase {
  id: string;
  part: string;
  /** Opens the tagging page at a media time in seconds. */
  at: (seconds: number) => string;
}

async function put(api: APIRequestContext, path: string, data: unknown): Promise<unknown> {
  const answer = await api.put(path, { data });
  expect(answer.ok(), `${path}: ${await answer.text()}`).toBe(true);
  return answer.json();
}

/** Signs in through the interface; the page shares the session. */
export async function enter(page: Page, login: string): Promise<{ id: string }> {
  const answer = await page.request.post('/api/v1/sign-in', { data: { login, password: demoPassword } });
  expect(answer.ok(), await answer.text()).toBe(true);
  return answer.json();
}

/** Makes a case of the signed-in person with one film of the demo unit. */
export async function makeCase(
  page: Page,
  person: { id: string },
  pseudonym: string,
  film = 'quiet-phaco.mp4',
): Promise<MadeCase> {
  const id = crypto.randomUUID();
  const part = crypto.randomUUID();
  await put(page.request, `/api/v1/cases/${id}`, {
    id,
    revision: 0,
    pseudonym,
    eye: 'OS',
    date: new Date().toISOString().slice(0, 10),
    before: {},
    operation: { techniquePlanned: 'phaco', techniquePerformed: 'phaco' },
    operators: [{ userId: person.id, role: 'operator', grade: 'consultant' }],
    sharedWith: [],
  });
  await put(page.request, `/api/v1/cases/${id}/parts/${part}`, {
    revision: 0,
    position: 1,
    source: `films:${film}`,
    rates: [],
    cuts: [],
    realTime: true,
  });
  return { id, part, at: (seconds) => `/cases/${id}/operation#part=${part}&t=${seconds}` };
}

export interface StoredMarker {
  id: string;
  step: string;
  start: { part: string; ms: number };
  end: { part: string; ms: number } | null;
}

export interface StoredReading {
  id: string;
  stepList: { id: string; version: number };
  seq: number;
  markers: StoredMarker[];
  events: { kind: string; at: { ms: number } }[];
  comments: { text: string; replyTo?: string; settled: boolean }[];
}

/** What the server holds of the case's only reading. */
export async function stored(page: Page, made: MadeCase): Promise<StoredReading> {
  const list = (await (await page.request.get(`/api/v1/cases/${made.id}/readings`)).json()) as { id: string }[];
  return (await page.request.get(`/api/v1/readings/${list[0]?.id}`)).json();
}

/** Step, start and end of every marker, in order: short to compare. */
export async function episodes(page: Page, made: MadeCase): Promise<[string, number, number | null][]> {
  const { markers } = await stored(page, made);
  return markers
    .map((m): [string, number, number | null] => [m.step, m.start.ms, m.end?.ms ?? null])
    .sort((a, b) => a[1] - b[1]);
}
