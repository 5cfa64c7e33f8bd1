import { expect, test } from 'vitest';
import type { Operation } from '../api/types';
import { cdeOf, compared, eptOf } from './energy';

const of = (o: Partial<Operation>) => o as Operation;

test('energy of both kinds of ultrasound', () => {
  const o = of({ longitudinalTime: 10, longitudinalPower: 20, torsionalTime: 30, torsionalAmplitude: 50 });
  expect(cdeOf(o)).toBeCloseTo(2 + 0.4 * 15, 12);
  expect(eptOf(o)).toBeCloseTo(2, 12);
});

// Ricks RG et al., Med Devices 2024;17:339-48 measured 61 and 24 for the same minute at full power; found.
test('a minute at full power weighs 60 longitudinal and 24 torsional', () => {
  expect(cdeOf(of({ longitudinalTime: 60, longitudinalPower: 100 }))).toBe(60);
  expect(cdeOf(of({ torsionalTime: 60, torsionalAmplitude: 100 }))).toBe(24);
});

test('a time without its power gives nothing, and no time needs none', () => {
  expect(cdeOf(of({ longitudinalTime: 10 }))).toBeUndefined();
  expect(eptOf(of({ longitudinalPower: 10 }))).toBeUndefined();
  expect(cdeOf(of({ longitudinalTime: 0, torsionalTime: 10, torsionalAmplitude: 50 }))).toBe(2);
  expect(cdeOf(of({ longitudinalTime: 10, longitudinalPower: 50, torsionalTime: 10 }))).toBeUndefined();
  expect(cdeOf(of({}))).toBeUndefined();
});

test('five percent is in agreement, more is told', () => {
  expect(compared(10, 10.5)).toEqual({ text: 'computed 10.5, in agreement', differs: false });
  expect(compared(10, 10.6).differs).toBe(true);
  expect(compared(10, 12, 's').text).toBe('computed 12 s (20 % apart): the entered value counts; check both');
  expect(compared(0, 1)).toEqual({ text: 'computed 1: the entered value counts; check both', differs: true });
  expect(compared(undefined, 8, 's').text).toBe('computed 8 s');
  expect(compared(8, undefined)).toEqual({ text: '', differs: false });
});
