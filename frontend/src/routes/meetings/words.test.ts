import { expect, test } from 'vitest';
import type { AgendaItem, MeetingAction, MeetingLine } from '../../lib/api/meeting';
import { emptyItem } from './inbox';
import { actionText, ahead, clocks, loadText, recordingText } from './words';

test('each item begins when those before it have ended', () => {
  expect(clocks('08:00', [5, 10, 50])).toEqual(['08:00', '08:05', '08:15', '09:05']);
  expect(clocks('23:50', [15])).toEqual(['23:50', '00:05']);
  expect(clocks('', [5, 60])).toEqual(['+0:00', '+0:05', '+1:05']);
  expect(clocks('08:00', [])).toEqual(['08:00']);
});

test('what is to come stands with the next first, what was with the latest first', () => {
  const line = (date: string, state: MeetingLine['state']) => ({ date, state }) as MeetingLine;
  const lines = [
    line('2026-05-01', 'planned'),
    line('2026-04-01', 'planned'),
    line('2026-03-02', 'running'),
    line('2026-03-01', 'planned'),
    line('2026-02-01', 'closed'),
  ];
  const { next, past } = ahead(lines, '2026-04-01');
  expect(next.map((l) => l.date)).toEqual(['2026-03-02', '2026-04-01', '2026-05-01']);
  expect(past.map((l) => l.date)).toEqual(['2026-03-01', '2026-02-01']);
});

test('how much is on an agenda', () => {
  expect(loadText({ items: 0, minutes: 5, state: 'planned' })).toBe('nothing on the agenda yet, 5 min');
  expect(loadText({ items: 0, minutes: 5, state: 'closed' })).toBe('no items, 5 min');
  expect(loadText({ items: 1, minutes: 15, state: 'planned' })).toBe('1 item, 15 min');
});

test('the state of the recording is said in words', () => {
  const item = (change: Partial<AgendaItem>): AgendaItem => ({ ...emptyItem('case', 'A case', 10), ...change });
  const part = (number: number, playable: boolean, reason = '') => ({
    part: number,
    duration: 1,
    width: 1,
    height: 1,
    playable,
    reason,
  });
  expect(recordingText(emptyItem('topic', 'A topic', 5))).toBe('');
  expect(recordingText(item({}))).toBe('The case has no recording.');
  expect(recordingText(item({ withdrawn: 'Consent was withdrawn.' }))).toBe('Consent was withdrawn.');
  expect(recordingText(item({ recording: [part(1, true)] }))).toBe('');
  expect(recordingText(item({ recording: [part(1, false, 'Not cleared.')] }))).toBe(
    'The recording is not shown. Not cleared.',
  );
  expect(recordingText(item({ recording: [part(1, true), part(2, false, 'Missing.')] }))).toBe(
    'Part 2 of the recording is not shown. Missing.',
  );
  expect(
    recordingText(item({ recording: [part(1, true), part(2, false, 'Missing.'), part(3, false, 'Missing.')] })),
  ).toBe('Parts 2, 3 of the recording are not shown. Missing.');
});

test('how far an action is', () => {
  const action = { dueOn: '2026-03-04', closedOn: '2026-03-09', overdue: false } as MeetingAction;
  expect(actionText({ ...action, state: 'open' })).toBe('Due 4 Mar 2026');
  expect(actionText({ ...action, state: 'open', overdue: true })).toBe('▲ Was due 4 Mar 2026');
  expect(actionText({ ...action, state: 'done' })).toBe('Reported done');
  expect(actionText({ ...action, state: 'closed' })).toBe('Closed 9 Mar 2026');
});
