import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { Latest } from './latest';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

test('several calls in a row are one request', async () => {
  const read = vi.fn().mockResolvedValue('record');
  const took = vi.fn();
  const latest = new Latest(read, took, 300);
  latest.ask();
  await vi.advanceTimersByTimeAsync(200);
  latest.ask();
  await vi.advanceTimersByTimeAsync(299);
  expect(read).not.toHaveBeenCalled();
  await vi.advanceTimersByTimeAsync(1);
  expect(read).toHaveBeenCalledTimes(1);
  expect(took).toHaveBeenCalledExactlyOnceWith('record');
});

test('an answer that comes after a newer one was asked for is dropped', async () => {
  const answers: ((value: string) => void)[] = [];
  const took = vi.fn();
  const latest = new Latest(() => new Promise<string>((resolve) => answers.push(resolve)), took, 0);
  const [first, second] = [latest.now(), latest.now()];
  answers[1]?.('new');
  answers[0]?.('old');
  await Promise.all([first, second]);
  expect(took.mock.calls).toEqual([['new']]);
});

test('a failure leaves what was there, and the next call reads again', async () => {
  const took = vi.fn();
  const read = vi.fn().mockRejectedValueOnce(new Error('gone')).mockResolvedValue('back');
  const latest = new Latest<string>(read, took, 0);
  await latest.now();
  expect(took).not.toHaveBeenCalled();
  await latest.now();
  expect(took).toHaveBeenCalledWith('back');
});

test('after the end nothing is read and nothing is taken', async () => {
  const read = vi.fn().mockResolvedValue('late');
  const took = vi.fn();
  const latest = new Latest(read, took, 100);
  const under = latest.now();
  latest.ask();
  latest.end();
  await vi.advanceTimersByTimeAsync(1000);
  await under;
  expect(read).toHaveBeenCalledTimes(1);
  expect(took).not.toHaveBeenCalled();
});
