import { describe, expect, test } from 'vitest';
import { csvText } from '../../lib/chart/table';
import { lane, point, row } from './compare.fixture';
import { bandOf, besideLink, casePoint, lanesOf, ratiosOf } from './lanes';
import { emptyView } from './question';
import {
  adjustmentText,
  laneSentence,
  lossLines,
  questionText,
  ratioWords,
  rowSentence,
  rowTable,
  verdict,
} from './words';

describe('words', () => {
  test.each([
    [1.14, '14 % longer than'],
    [0.8, '20 % shorter than'],
    [1.004, 'as long as'],
  ])('a ratio of %d is %s', (ratio, text) => expect(ratioWords(ratio)).toBe(text));

  test('only an interval that leaves 1 out tells anything apart', () => {
    expect(verdict({ low: 1.01, high: 1.4 })).toBe('longer');
    expect(verdict({ low: 0.6, high: 0.99 })).toBe('shorter');
    expect(verdict({ low: 1, high: 1.4 })).toBe('unclear');
  });

  test('the adjusted ratio speaks, though the raw one alone would tell apart', () => {
    const text = laneSentence(lane({ own: true }), row([]));
    expect(text).toContain('half of your 12 cases took under 1:35');
    expect(text).toContain('On like eyes, no clear difference');
  });

  test('without adjustment the sentence says so', () => {
    expect(laneSentence(lane({ adjusted: null }), row([]))).toContain(
      'Not adjusted for the eyes, 20 % longer than the average operator’s (95 % interval 1.05 to 1.40 times)',
    );
  });

  test('fewer than five cases have no summary', () => {
    const few = lane({ n: 3, median: null, q1: null, q3: null, raw: null, adjusted: null, why: 'under 5 cases' });
    expect(laneSentence(few, row([]))).toBe('Ada Quill: 3 cases, shown as points only. Under 5 cases.');
    expect(lanesOf(row([few]))[0]?.box).toBeUndefined();
    expect(ratiosOf(row([few]))[0]).toMatchObject({ main: undefined, other: undefined, why: 'too few cases' });
  });

  test('several people are told in the order of the lanes, not by size', () => {
    const slow = { ratio: 1.3, low: 1.1, high: 1.6, shrunken: true };
    const slower = { ratio: 2, low: 1.8, high: 2.2, shrunken: true };
    const text = rowSentence(
      row([lane({ adjusted: slow }), lane({ name: 'Bo Vane', adjusted: slower }), lane({ own: true })]),
    );
    expect(text).toBe(
      'Longer than the average operator on like eyes: Ada Quill, Bo Vane. No clear difference from the average operator: you.',
    );
  });

  test('who has no lane reads about the group alone', () => {
    expect(rowSentence(row([]))).toBe('Half of the 80 cases of the group took under 1:32.');
    expect(adjustmentText(row([]))).toBe('');
    expect(rowSentence(row([], { group: null }))).toContain('No measured case');
  });

  test('what the adjustment used and lost', () => {
    const given = row([lane()], {
      dropped: ['dye: too rare'],
      fellOut: [{ reason: 'pupil unknown', cases: 4 }],
      leftOut: [{ reason: 'not marked', cases: 1 }],
      notes: ['A note.'],
    });
    expect(adjustmentText(given)).toBe('Adjusted for nuclear grade, pupil, 4 cases left out of that.');
    expect(lossLines(given)).toEqual([
      'Left out of the adjusted figures: 4 cases: pupil unknown.',
      'Without a time for this row: 1 case: not marked.',
      'Could not be adjusted for: dye (too rare).',
      'A note.',
    ]);
    expect(adjustmentText(row([], { whyNot: 'only one operator.' }))).toBe('Not adjusted: only one operator.');
  });

  test('the choices on paper', () => {
    expect(questionText({ ...emptyView, from: '2026-01-01', gradeTo: 3, part: 'whole' }, [])).toBe(
      'Phacoemulsification, from 1 Jan 2026, nuclear grade any to 3, whole cases only.',
    );
  });
});

describe('lanes', () => {
  test('a point leads to the moment only for someone who may see the case', () => {
    expect(casePoint(point())).not.toHaveProperty('href');
    expect(casePoint(point({ caseId: 'c' })).href).toBe('/cases/c/operation');
    expect(casePoint(point({ caseId: 'c', at: { part: 'p', ms: 1500 } })).href).toBe('/cases/c/operation#part=p&t=1.5');
  });

  test('the order of the server stands; the group comes last and has no links', () => {
    const lanes = lanesOf(
      row([lane({ name: 'B' }), lane({ own: true, points: [point({ part: true })] }), lane({ name: 'A' })]),
    );
    expect(lanes.map((l) => l.name)).toEqual(['B', 'You', 'A', 'The group']);
    expect(lanes[1]?.points[0]?.shape).toBe('triangle');
    expect(lanes[3]?.points.every((p) => p.href === undefined)).toBe(true);
  });

  test('two recordings side by side, only of cases that may be seen', () => {
    const at = { part: 'p', ms: 0 };
    const own = lane({ own: true, points: [point({ caseId: 'a', at }), point({ caseId: 'b', at })] });
    const other = lane({ points: [point({ caseId: 'c', at }), point()] });
    const both = row([own, other]);
    expect(besideLink(other, both)?.href).toBe('/side-by-side?a=b&b=c&step=capsulorhexis');
    expect(besideLink(own, both)?.href).toBe('/side-by-side?a=a&b=b&step=capsulorhexis');
    expect(besideLink(lane({ points: [point()] }), both)).toBeUndefined();
    expect(besideLink(other, row([own, other], { kind: 'stage' }))).toBeUndefined();
  });

  test('a small group has a band of its middle half', () => {
    expect(bandOf(null)).toBeUndefined();
    const group = { n: 12, operators: 3, median: 5, q1: 4, q3: 6, p5: null, p95: null, spread: [] };
    expect(bandOf(group)).toEqual({ low: 4, q1: 4, median: 5, q3: 6, high: 6 });
  });

  test('the table holds what the charts show', () => {
    const table = rowTable(row([lane({ own: true, alone: { ratio: 1.03, low: 0.88, high: 1.2, shrunken: false } })]));
    expect(table.rows).toHaveLength(2);
    expect(table.rows.every((r) => r.length === table.columns.length)).toBe(true);
    expect(csvText(table)).toContain('You,12,95,82,118,80,120,1.02,0.9,1.15,1.03,0.88,1.2,1.2,1.05,1.4,');
  });
});
