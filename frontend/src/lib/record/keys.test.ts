import { expect, test } from 'vitest';
import { placeOf } from './keys';

const answers = ['No', 'Yes'].map((label) => ({ value: label.toLowerCase(), label }));
const oedema = [0, 1, 2, 3, 4].map((value) => ({ value, label: String(value) }));
const hard = ['1 soft', '2', '5 rock-hard'].map((label) => ({ value: Number.parseInt(label, 10), label }));

test.each([
  ['y', answers, 1],
  ['N', answers, 0],
  ['1', answers, 0],
  ['2', answers, 1],
  ['3', answers, -1],
  ['0', answers, -1],
  ['0', oedema, 0],
  ['4', oedema, 4],
  ['5', oedema, -1],
  ['5', hard, 2],
  ['3', hard, -1],
  ['Enter', answers, -1],
  [' ', answers, -1],
])('%s chooses', (key, options, place) => {
  expect(placeOf(key, options)).toBe(place);
});

test('a letter that two labels begin with chooses none', () => {
  const alike = ['Scleral', 'Sulcus', 'Bag'].map((label) => ({ value: label, label }));
  expect(placeOf('s', alike)).toBe(-1);
  expect(placeOf('b', alike)).toBe(2);
});
