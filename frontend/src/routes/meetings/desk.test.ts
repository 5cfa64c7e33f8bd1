// What is written of a meeting, against a server that is played here.
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { type AgendaItem, type MeetingSheet, setMeetingState } from '../../lib/api/meeting';
import { MeetingDesk } from './desk.svelte';
import { emptyItem } from './inbox';
import { lackingOf, lackingOfMeeting, newMeeting, writtenItem } from './written';

const item = (change: Partial<AgendaItem>): AgendaItem => ({
  ...emptyItem('case', 'A case', 10),
  id: 'i',
  revision: 1,
  place: 2,
  label: 'Case 1',
  ...change,
});
const sheetOf = (change: number, agenda: AgendaItem[]): MeetingSheet => ({
  ...newMeeting('m', 'noor', '2026-03-01'),
  revision: 1,
  agenda,
  earlierActions: [],
  actions: [],
  remarks: [],
  may: { chair: true, present: ['i'], prepare: ['i'], write: ['i'] },
  change,
});
const json = (status: number, body: unknown) =>
  new Response(JSON.stringify(body), {
    status,
    headers: { 'content-type': status === 200 ? 'application/json' : 'application/problem+json' },
  });

let asked: { method: string; to: string; body: AgendaItem }[];
let answers: Response[];
beforeEach(() => {
  asked = [];
  answers = [];
  vi.useFakeTimers();
  vi.stubGlobal('fetch', (to: string, { method, body }: { method: string; body?: string }) => {
    asked.push({ method, to, body: body ? JSON.parse(body) : undefined });
    return Promise.resolve(answers.shift() ?? json(500, {}));
  });
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

async function opened(): Promise<MeetingDesk> {
  const desk = new MeetingDesk('m');
  answers.push(json(200, sheetOf(5, [item({})])));
  await desk.read();
  return desk;
}

test('what is written of an item is sent without moving it, and read again', async () => {
  const desk = await opened();
  const draft = desk.changeItem(item({}));
  draft.value.title = 'Another title';
  answers.push(
    json(200, item({ title: 'Another title', revision: 2 })),
    json(200, sheetOf(6, [item({ title: 'Another title', revision: 2 })])),
  );
  draft.flush();
  await vi.waitFor(() => expect(desk.sheet?.change).toBe(6));
  expect(asked[1]).toMatchObject({
    method: 'PUT',
    to: '/api/v1/meetings/m/items/i',
    body: { title: 'Another title', place: 0, revision: 1 },
  });
  expect(draft.state.phase).toBe('saved');
  expect(draft.value.revision).toBe(2);
  desk.end();
});

test('in a conflict only what people write is to be chosen', async () => {
  const desk = await opened();
  const draft = desk.changeItem(item({}));
  draft.value.title = 'Mine';
  answers.push(
    json(409, {
      code: 'stale',
      detail: 'Changed.',
      theirs: item({ title: 'Theirs', revision: 2, place: 4, label: 'Case 9' }),
    }),
  );
  draft.flush();
  await vi.waitFor(() => expect(draft.state.phase).toBe('conflict'));
  expect(draft.conflict?.theirs).toEqual(writtenItem(item({ title: 'Theirs', revision: 2 })));
  expect(desk.stuck).toBe(true);
  desk.forget('i');
  expect(desk.stuck).toBe(false);
});

test('an older answer does not go over a newer one, and a newer one not over what is being written', async () => {
  const desk = await opened();
  const draft = desk.changeItem(item({}));
  desk.take(sheetOf(4, []));
  expect(desk.sheet?.agenda.length).toBe(1);
  desk.take(sheetOf(7, [item({ title: 'Reworded', revision: 2 })]));
  expect(draft.value.title).toBe('Reworded');
  draft.value.title = 'Being written';
  desk.take(sheetOf(8, [item({ title: 'Reworded again', revision: 3 })]));
  expect(draft.value.title).toBe('Being written');
  desk.forget('i');
});

test('a refused change says why and leaves the meeting', async () => {
  const desk = await opened();
  answers.push(json(403, { code: 'forbidden', detail: 'Only the chair.' }), json(200, sheetOf(5, [item({})])));
  expect(await desk.does(() => setMeetingState('m', 'running'))).toBe(false);
  expect(desk.refused?.message).toBe('Only the chair.');
  expect(desk.sheet?.agenda.length).toBe(1);
});

test('what is missing is said in words', () => {
  const written = writtenItem(item({}));
  expect(lackingOf(written)).toBe('');
  expect(lackingOf({ ...written, title: ' ' })).toBe('give it a title');
  const moment = { id: 'k', part: 1, ms: 0, line: '', step: '', clock: '' };
  expect(lackingOf({ ...written, pack: { ...written.pack, moments: [moment] } })).toBe(
    'say what to look at in moment 1',
  );
  const meeting = newMeeting('m', 'noor', '2026-03-01');
  expect(meeting.date).toBe('2026-03-15');
  expect(lackingOfMeeting(meeting)).toBe('');
  expect(lackingOfMeeting({ ...meeting, date: '' })).toBe('choose a date');
  expect(lackingOfMeeting({ ...meeting, namesOperators: true })).toBe('say why the operators are named');
});
