// A case open for tagging without a browser's film and with a server of the test's own.
import { vi } from 'vitest';
import type { Case, Complication, Edit, Part, Permissions, Reading } from '../../lib/api/types';
import { msics, phaco } from '../../lib/reading/desk.fixture';
import { ReadingSession } from '../../lib/reading/session.svelte';
import { CaseClock } from '../../lib/timeline/clock';
import { Tagging } from './tagging.svelte';

const rate = { num: 25, den: 1 };

const part: Part = {
  id: 'A',
  caseId: 'case',
  revision: 1,
  position: 1,
  source: 'films:a.mp4',
  state: 'ok',
  rates: [],
  cuts: [],
  realTime: true,
  checkedAt: 0,
  facts: {
    container: 'mp4',
    videoCodec: 'h264',
    width: 480,
    height: 360,
    frameRate: rate,
    variableFrameRate: false,
    duration: 600_000,
    size: 1,
    modifiedAt: 0,
    fingerprint: '',
    playable: true,
  },
};

const theCase: Case = {
  id: 'case',
  revision: 1,
  pseudonym: 'P',
  eye: 'OD',
  date: '2026-03-04',
  before: {},
  operation: { techniquePlanned: 'phaco', techniquePerformed: 'phaco' },
  operators: [
    { userId: 'trainer', role: 'supervisor' },
    { userId: 'me', role: 'operator' },
  ],
  sharedWith: [],
  createdBy: 'me',
  createdAt: 0,
  updatedAt: 0,
  change: 0,
};

const everything: Permissions = {
  'reading.view': true,
  'reading.mark': true,
  'reading.comment': true,
  'recording.view': true,
};

/** What the test's server has been sent, in order. */
export interface TestServer {
  edits: Edit[];
}

/** Opens the case; the server takes every edit. */
export async function openCase(
  given: { permissions?: Permissions; reading?: Partial<Reading>; complications?: Complication[] } = {},
): Promise<{ t: Tagging; server: TestServer }> {
  const server: TestServer = { edits: [] };
  vi.stubGlobal('fetch', async (_: string, request?: { method?: string; body?: string }) => {
    if (request?.method !== 'POST') return json({ edits: server.edits });
    const sent = (JSON.parse(request.body ?? '{}') as { edits: Edit[] }).edits;
    const answers = sent.map((edit) => {
      const seq = server.edits.length + 1;
      server.edits.push({ ...edit, seq, authorId: 'me', madeAt: 1 });
      return { id: edit.id, seq, alreadyDone: false };
    });
    return json({ answers, seq: server.edits.length });
  });
  const reading: Reading = {
    id: 'reading',
    caseId: 'case',
    authorId: 'me',
    stepList: { id: 'phaco', version: 1 },
    accepted: true,
    seq: 0,
    createdAt: 0,
    ...given.reading,
  };
  const session = new ReadingSession(reading, 'me', undefined);
  await session.open();
  const filmPart = {
    id: 'A',
    name: 'part 1',
    address: '/a',
    duration: 600_000,
    rate,
    variable: false,
    codec: 'h264',
    unusable: '',
  };
  const clock = new CaseClock([{ id: 'A', name: 'Part 1', duration: 600_000, rates: [], cuts: [], realTime: true }]);
  const t = new Tagging({
    caseData: theCase,
    permissions: given.permissions ?? everything,
    person: 'me',
    parts: [part],
    filmParts: [filmPart],
    clock,
    lists: [phaco, msics],
    session,
    complications: given.complications ?? [],
    kindName: (code) => code,
  });
  return { t, server };
}

function json(body: unknown): Response {
  return new Response(JSON.stringify(body), { status: 200, headers: { 'content-type': 'application/json' } });
}
