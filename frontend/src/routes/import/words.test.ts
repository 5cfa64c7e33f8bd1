import { expect, test } from 'vitest';
import type { Intake, IntakeFile, IntakeRow } from '../../lib/api/intake';
import { faulty, fieldName, fileText, grouped, reasonText, stateText, toWrite, waysText } from './words';

const intake = (by: Partial<Intake>) => ({ rows: 10, done: 4, written: 0, counts: {}, ...by }) as Intake;
const row = (by: Partial<IntakeRow>) => ({ number: 2, cells: [], hidden: false, written: false, ...by }) as IntakeRow;

test('how the file was read is told', () => {
  const csv = { kind: 'csv', encoding: 'UTF-8', separator: ';' } as IntakeFile;
  expect(fileText(csv)).toBe('columns parted by semicolons, UTF-8 text');
  expect(fileText({ ...csv, separator: '\t', encoding: 'Windows-1252' })).toBe(
    'columns parted by tabs, Windows-1252 text (not UTF-8; check the accents below)',
  );
  expect(fileText({ kind: 'xlsx', sheet: 'Visits' } as IntakeFile)).toBe('sheet “Visits”');
});

test('a row says why', () => {
  expect(reasonText(row({ verdict: 'new' }))).toBe('');
  expect(reasonText(row({ verdict: 'refused', field: 'pressure', message: '"x" is not a number' }))).toBe(
    'Pressure "x" is not a number',
  );
  expect(reasonText(row({ verdict: 'no-case', field: 'pseudonym', message: 'there is no such case' }))).toBe(
    'there is no such case',
  );
  const changes = [
    { field: 'exam.density', before: 2100, after: 2050.5000000001 },
    { field: 'acuity', before: null, after: '6/9' },
  ];
  expect(reasonText(row({ verdict: 'changes', changes }))).toBe(
    'Cell density from 2100 to 2050.5; Acuity, corrected from nothing to 6/9',
  );
  const before = [{ field: 'before.pressure', before: 15, after: 17 }];
  expect(reasonText(row({ verdict: 'changes', changes: before, message: 'not kept: note' }))).toBe(
    'Before: Pressure from 15 to 17; not kept: note',
  );
  const images = [{ field: 'exam.imageCounts', before: null, after: [{}, {}] }];
  expect(reasonText(row({ verdict: 'changes', changes: images }))).toBe('Images listed from nothing to 2 images');
});

test('counts and state', () => {
  const checked = intake({
    state: 'checked',
    counts: { new: 3, changes: 1, same: 2, refused: 2, 'no-case': 1, ambiguous: 1 },
  });
  expect(toWrite(checked)).toBe(4);
  expect(faulty(checked)).toBe(4);
  expect(stateText(checked)).toBe(
    '10 rows checked: 4 to write, 2 there already, 4 that cannot be. Nothing is written yet.',
  );
  expect(stateText(intake({ state: 'checking' }))).toBe('4 of 10 rows checked. Nothing is written yet.');
  expect(stateText(intake({ state: 'applied', rows: 1, written: 1 }))).toBe('Done: 1 of 1 row written.');
  expect(stateText(intake({ state: 'applying', written: 2 }))).toBe('4 of 10 rows gone through, 2 written.');
  expect(stateText(intake({ state: 'cancelled', written: 2 }))).toBe('Cancelled: 2 of 10 rows written.');
  expect(stateText(intake({ state: 'to-match' }))).toContain('Say which columns');
});

test('fields are named and offered in groups', () => {
  expect(fieldName('exam.imageCounts[1].cells')).toBe('Image 2: cells counted');
  expect(fieldName('somewhere.else')).toBe('somewhere.else');
  const groups = grouped(
    ['pseudonym', 'acuity', 'exam.cv', 'exam.imageCounts[0].cv', 'note'].map((code) => ({ code, required: false })),
  );
  expect(groups.map((g) => [g.title, g.fields.length])).toEqual([
    ['Whom and when', 1],
    ['Findings', 2],
    ['Endothelial count', 1],
    ['Single images of the count', 1],
  ]);
});

test('what writing a whole file means is told, and more so for many rows', () => {
  expect(waysText(intake({ counts: { new: 12 } }))).not.toContain('nobody else');
  expect(waysText(intake({ counts: { new: 60_000 } }))).toContain('about 30 s, during which nobody else can save');
});
