import { describe, expect, test } from 'vitest';
import { periodOf, periodStart } from './period';

describe('a period', () => {
  test.each([
    ['all', '2026-11-25', ''],
    ['year', '2026-11-25', '2025-11-26'],
    ['two-years', '2026-11-25', '2024-11-26'],
    ['year', '2024-02-29', '2023-03-01'],
    ['year', '2026-12-31', '2026-01-01'],
  ] as const)('%s to %s begins on "%s"', (period, today, from) => expect(periodStart(period, today)).toBe(from));

  test('is known again by its days', () => {
    const today = '2026-11-25';
    expect(periodOf({ from: '', to: '' }, today)).toBe('all');
    expect(periodOf({ from: '2025-11-26', to: '' }, today)).toBe('year');
    expect(periodOf({ from: '2025-11-26', to: '2026-01-01' }, today)).toBe('between');
    expect(periodOf({ from: '2025-01-01', to: '' }, today)).toBe('between');
    expect(periodOf({ from: '', to: '2026-01-01' }, today)).toBe('between');
  });
});
