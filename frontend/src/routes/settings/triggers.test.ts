import { expect, test } from 'vitest';
import { ruleLines, rulesSum, withRule } from './triggers';

const words = { name: 'N', what: 'W', why: 'Y' };
const choices = ['conversion', 'day-1-oedema', 'long-step'].map((kind) => ({ kind, ...words }));
const rules = [
  { kind: 'long-step', on: true, step: 'removal' },
  { kind: 'day-1-oedema', on: true, limit: 3 },
];

test('each rule has a line, and one that the unit lacks is off', () => {
  const lines = ruleLines(choices, rules);
  expect(lines.map((l) => [l.kind, l.rule.on, l.asks])).toEqual([
    ['conversion', false, ''],
    ['day-1-oedema', true, 'grade'],
    ['long-step', true, 'step'],
  ]);
  expect(rulesSum(lines)).toBe('2 of 3 rules are on.');
  expect(rulesSum(ruleLines(choices, []))).toContain('no case comes');
});

test('a change touches its own rule, and every step is no step', () => {
  const lines = ruleLines(choices, rules);
  expect(withRule(lines, 'conversion', { on: true })).toEqual([
    { kind: 'conversion', on: true },
    { kind: 'day-1-oedema', on: true, limit: 3 },
    { kind: 'long-step', on: true, step: 'removal' },
  ]);
  expect(withRule(lines, 'long-step', { step: '' })[2]).toEqual({ kind: 'long-step', on: true });
  expect(withRule(lines, 'day-1-oedema', { limit: 2 })[1]).toEqual({ kind: 'day-1-oedema', on: true, limit: 2 });
});
