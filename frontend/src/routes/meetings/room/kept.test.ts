import { expect, test } from 'vitest';
import { DeviceCopy } from './kept';

function memory() {
  const held = new Map<string, string>();
  return {
    held,
    getItem: (key: string) => held.get(key) ?? null,
    setItem: (key: string, value: string) => void held.set(key, value),
    removeItem: (key: string) => void held.delete(key),
  };
}

test('comes back for the same person and place only, and leaves nothing once dropped', () => {
  const store = memory();
  const copy = new DeviceCopy<{ revision: number }>('mara', 'record.1', store);
  expect(copy.read()).toBeUndefined();
  expect(copy.keep({ revision: 3 })).toBe(true);
  expect(new DeviceCopy('mara', 'record.1', store).read()).toEqual({ revision: 3 });
  expect(new DeviceCopy('anand', 'record.1', store).read()).toBeUndefined();
  expect(new DeviceCopy('mara', 'record.2', store).read()).toBeUndefined();
  copy.drop();
  expect(store.held.size).toBe(0);
});

test('a browser that keeps nothing says so, and something unreadable counts as nothing', () => {
  const full = {
    ...memory(),
    setItem: () => {
      throw new Error('full');
    },
  };
  expect(new DeviceCopy('mara', 'record.1', full).keep({})).toBe(false);
  const broken = { ...memory(), getItem: () => '{' };
  expect(new DeviceCopy('mara', 'record.1', broken).read()).toBeUndefined();
});
