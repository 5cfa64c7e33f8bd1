import { flushSync } from 'svelte';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { Problem } from '../api/problem';
import { rest } from './autosave';
import { Draft } from './draft.svelte';

interface Note {
  revision: number;
  text: string;
  other?: string;
}

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

async function pass(ms: number): Promise<void> {
  flushSync();
  await vi.advanceTimersByTimeAsync(ms);
  flushSync();
}
const stored = (n: Note): Promise<Note> => Promise.resolve({ ...n, revision: n.revision + 1 });

test('sends once after a rest and takes over the revision', async () => {
  const send = vi.fn(stored);
  const draft = new Draft<Note>({ revision: 1, text: '' }, { send });
  draft.value.text = 'a';
  await pass(rest / 2);
  draft.value.text = 'ab';
  await pass(rest - 1);
  expect(send).not.toHaveBeenCalled();
  await pass(2);
  expect(send.mock.calls).toEqual([[{ revision: 1, text: 'ab' }]]);
  expect(draft.value).toEqual({ revision: 2, text: 'ab' });
  expect(draft.unsaved).toBe(false);
});

test('keeps what was typed while it was sending, and sends it with the new revision', async () => {
  let answer: (n: Note) => void = () => {};
  const send = vi
    .fn<(n: Note) => Promise<Note>>()
    .mockImplementationOnce(() => new Promise((resolve) => (answer = resolve)));
  const draft = new Draft<Note>({ revision: 1, text: '' }, { send });
  draft.value.text = 'a';
  await pass(rest);
  draft.value.text = 'abc';
  await pass(0);
  send.mockImplementation(stored);
  answer({ revision: 2, text: 'a' });
  await pass(rest);
  expect(send.mock.calls[1]).toEqual([{ revision: 2, text: 'abc' }]);
  expect(draft.value).toEqual({ revision: 3, text: 'abc' });
});

test('nothing is sent before there is enough', async () => {
  const send = vi.fn(stored);
  const draft = new Draft<Note>({ revision: 0, text: '' }, { send, ready: (n) => n.text.length > 2 });
  draft.value.text = 'ab';
  await pass(10 * rest);
  expect(send).not.toHaveBeenCalled();
  expect(draft.stuck).toBe(true);
  draft.value.text = 'abc';
  await pass(rest);
  expect(send).toHaveBeenCalledOnce();
});

test('a refusal stands at its field and goes with the next success', async () => {
  const refusal = new Problem(422, { code: 'invalid', fields: [{ field: 'text', message: 'Too long.' }] });
  const send = vi.fn(stored).mockRejectedValueOnce(refusal);
  const draft = new Draft<Note>({ revision: 1, text: '' }, { send });
  draft.value.text = 'a';
  await pass(rest);
  expect(draft.at('text')).toBe('Too long.');
  expect(draft.stuck).toBe(true);
  draft.value.text = 'b';
  await pass(rest);
  expect(draft.at('text')).toBe('');
  expect(draft.stuck).toBe(false);
});

test('a stale version is settled by a person, over the newest revision', async () => {
  const theirs = { revision: 7, text: 'theirs', other: 'kept' };
  const send = vi.fn(stored).mockRejectedValueOnce(new Problem(409, { code: 'stale', theirs }));
  const draft = new Draft<Note>({ revision: 1, text: '' }, { send });
  draft.value.text = 'mine';
  await pass(60 * rest);
  expect(send).toHaveBeenCalledOnce();
  expect(draft.conflict).toMatchObject({ yours: { text: 'mine' }, theirs });
  draft.settle({ ...theirs, text: 'mine' });
  await pass(0);
  expect(send.mock.calls[1]).toEqual([{ revision: 7, text: 'mine', other: 'kept' }]);
  expect(draft.value).toEqual({ revision: 8, text: 'mine', other: 'kept' });
});

test('a lost answer is no conflict: both hold the same', async () => {
  const send = vi
    .fn(stored)
    .mockRejectedValueOnce(new Problem(409, { code: 'stale', theirs: { revision: 2, text: 'a' } }));
  const draft = new Draft<Note>({ revision: 1, text: '' }, { send });
  draft.value.text = 'a';
  await pass(rest);
  expect(draft.conflict).toBeUndefined();
  expect(draft.value).toEqual({ revision: 2, text: 'a' });
  expect(draft.unsaved).toBe(false);
  expect(send).toHaveBeenCalledOnce();
});

test('tries again by itself while the server cannot be reached', async () => {
  const send = vi.fn(stored).mockRejectedValueOnce(new Problem(0, {})).mockRejectedValueOnce(new Problem(503, {}));
  const draft = new Draft<Note>({ revision: 1, text: '' }, { send });
  draft.value.text = 'a';
  await pass(rest);
  expect(draft.state.phase).toBe('retrying');
  await pass(1000);
  await pass(2000);
  expect(send).toHaveBeenCalledTimes(3);
  expect(draft.unsaved).toBe(false);
});

test('a version that was read again does not overrun what is being typed', async () => {
  const draft = new Draft<Note>({ revision: 1, text: '' }, { send: stored });
  draft.value.text = 'mine';
  flushSync();
  draft.renew({ revision: 2, text: 'theirs' });
  expect(draft.value.text).toBe('mine');
  await pass(rest);
  draft.renew({ revision: 9, text: 'theirs' });
  expect(draft.value).toEqual({ revision: 9, text: 'theirs' });
});

test('leaving sends what waits; taking a thing away does not', async () => {
  const send = vi.fn(stored);
  const left = new Draft<Note>({ revision: 1, text: '' }, { send });
  left.value.text = 'a';
  flushSync();
  left.end();
  await pass(0);
  expect(send).toHaveBeenCalledOnce();
  const taken = new Draft<Note>({ revision: 0, text: '' }, { send });
  taken.value.text = 'b';
  flushSync();
  taken.discard();
  await pass(10 * rest);
  expect(send).toHaveBeenCalledOnce();
});
