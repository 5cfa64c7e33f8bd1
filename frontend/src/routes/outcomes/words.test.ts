import { describe, expect, test } from 'vitest';
import { layIntervals } from '../../lib/chart/intervals';
import { addedLine, forestLines, forestTable, outcomeDomain, relationPoints, sensitivityLines } from './charts';
import { definition, relation, result, size } from './outcomes.fixture';
import {
  casesText,
  explanations,
  figure,
  intervalText,
  isFound,
  perText,
  questionText,
  sideText,
  sizeFigures,
  verdictText,
} from './words';

const names = {
  exposure: (e: { kind: string }) => (e.kind === 'stage' ? 'time in the nucleus stage' : 'CDE'),
  outcome: () => 'loss of endothelial cells at month 1',
  technique: () => 'phacoemulsification',
  operator: () => 'Ada Quill',
};

describe('figures', () => {
  test.each([
    [0, '0'],
    [0.026, '0.026'],
    [0.0951, '0.10'],
    [-1.953, '−1.95'],
    [12.34, '12.3'],
    [-345.6, '−346'],
    [2e6, 'over a million'],
    [Number.MAX_VALUE, 'any size'],
  ])('%d is written %s', (value, text) => expect(figure(value)).toBe(text));

  test('a bound that does not exist is any size', () => {
    expect(sizeFigures(size({ value: 3, low: 0.4, high: Number.MAX_VALUE }))).toBe('3.00 (0.40 to any size)');
  });
});

describe('an interval in words', () => {
  test.each([
    [-1.953, 7.198, 'loss', '1.95 % more to 7.20 % fewer cells left'],
    [0.918, 7.225, 'loss', '0.92 to 7.22 % fewer cells left'],
    [-7.225, -0.918, 'loss', '0.92 to 7.22 % more cells left'],
    [0.13, 0.4, 'oedema', '0.13 to 0.40 grades more'],
    [-0.2, 0.1, 'acuity', '0.20 logMAR less to 0.10 logMAR more gain'],
    [1.1, 2.6, 'complication', 'an odds ratio of 1.10 to 2.60'],
    [0.8, Number.MAX_VALUE, 'complication', 'an odds ratio of 0.80 to any size'],
  ] as const)('%d to %d of %s', (low, high, kind, text) => expect(intervalText({ low, high }, kind)).toBe(text));

  test('a number has its side', () => {
    expect(sideText(-2, 'thickness')).toBe('2.00 % less thickness');
    expect(sideText(1.4, 'complication')).toBe('an odds ratio of 1.40');
  });
});

describe('what may be concluded', () => {
  test('an interval that holds none shows nothing, and is no proof of none', () => {
    expect(isFound(size(), 'loss')).toBe(false);
    expect(verdictText(relation(), 'loss', 1)).toBe(
      'No relation is shown: the interval holds 0. That is no proof of none: only a relation of at least 6.03 % fewer cells left would have shown in four studies of five like this one.',
    );
    expect(isFound({ low: 0.8, high: 3 }, 'complication')).toBe(false);
  });

  test('one that leaves it out shows a relation, of several the number is allowed for', () => {
    const found = relation({ adjusted: size({ low: 1 }), holm: 0.2 });
    expect(verdictText(found, 'loss', 1)).toBe('A relation is shown: the interval leaves 0 out.');
    expect(verdictText(found, 'loss', 3)).toContain(
      'Allowing for the 3 exposures tried here (Holm), it may be chance.',
    );
    expect(verdictText({ ...found, holm: 0.01 }, 'loss', 3)).toContain('stands out even when all 3');
  });

  test('where nothing can be said, the reason is given', () => {
    expect(verdictText(relation({ adjusted: null, why: 'It is the same.' }), 'loss', 1)).toBe('It is the same.');
  });

  test('no sentence says what does what', () => {
    const said = [
      verdictText(relation(), 'loss', 1),
      verdictText(relation({ adjusted: size({ low: 1 }) }), 'complication', 2),
      ...explanations(definition({ outcome: { kind: 'complication', window: '', complication: 'x' } })),
    ].join(' ');
    expect(said).not.toMatch(/caus|effect|lead(s)? to|because of|due to|result(s)? in|impact/i);
  });
});

describe('words beside the figures', () => {
  test('an odds ratio and a doubling are explained where they stand', () => {
    expect(explanations(definition())).toHaveLength(1);
    const both = explanations(definition({ outcome: { kind: 'complication', window: '', complication: 'x' } }));
    expect(both[0]).toMatch(/^Odds ratio: /);
    expect(both[1]).toMatch(/^Per doubling: /);
  });

  test('the step of an exposure', () => {
    expect(perText(relation())).toBe('each doubling of the time in the nucleus stage');
    expect(perText({ per: 'minute', name: 'operation time' })).toBe('each further minute of operation time');
    expect(perText({ per: 'unit', name: 'CDE' })).toBe('each further unit of CDE');
    expect(perText({ per: 'top-up', name: 'OVD top-ups' })).toBe('each further OVD top-up');
    expect(perText({ per: 'event', name: 'lost view' })).toBe('each further lost view');
  });

  test('the cases', () => {
    expect(casesText(result())).toBe('147 of 232 cases of 6 operators.');
  });

  test('the question in one line', () => {
    const asked = definition({ exposures: [...definition().exposures, { kind: 'cde', code: '', scale: 'unit' }] });
    asked.population = { ...asked.population, from: '2026-01-01', gradeFrom: 3, operator: 'a' };
    expect(questionText(asked, names)).toBe(
      'Does time in the nucleus stage (per doubling) or CDE go with loss of endothelial cells at month 1, in phacoemulsification cases, nuclear grade 3 to 5, from 1 Jan 2026, led by Ada Quill?',
    );
  });
});

describe('what is drawn', () => {
  test('adjusted beside unadjusted, and beside the other exposures where there are some', () => {
    const several = result({
      relations: [relation({ together: size() }), relation({ adjusted: null, unadjusted: null })],
    });
    const lines = forestLines(several);
    expect(lines.map((l) => l.name)).toEqual([
      'Time in the nucleus stage, per doubling',
      '… beside the other exposures',
      'Time in the nucleus stage, per doubling',
    ]);
    expect(lines[0]?.main?.text).toBe('2.73 (−1.95 to 7.20)');
    expect(lines[2]?.main).toBeUndefined();
    expect(forestTable(several).rows).toHaveLength(3);
  });

  test('a long name stands above its line where there is no room beside it', () => {
    const shape = { kind: 'linear', label: '', neutral: 0, nameRoom: 270, pitch: 34, head: 20 } as const;
    expect(layIntervals(forestLines(result()), shape, 900).stacked).toBe(false);
    const narrow = layIntervals(forestLines(result()), shape, 340);
    expect(narrow.stacked).toBe(true);
    expect(narrow.letters).toBeGreaterThan('Time in the nucleus stage, per doubling'.length);
  });

  test('an odds ratio without a bound is drawn to the end of the axis', () => {
    const shape = { kind: 'ratio', label: '', neutral: 1, pitch: 34, head: 20 } as const;
    const wide = result({ relations: [relation({ adjusted: size({ value: 3, low: 0, high: Number.MAX_VALUE }) })] });
    const { axis, left, right } = layIntervals(forestLines(wide), shape, 700);
    expect(axis.at(Number.MAX_VALUE)).toBeCloseTo(right - 6);
    expect(axis.at(0)).toBeCloseTo(left + 6);
    expect(forestTable(wide).rows[0]?.[6]).toBeNull();
  });

  test('a point leads to the case only where it may be seen', () => {
    const [seen, unseen] = relationPoints(relation(), result());
    expect(seen?.href).toBe('/cases/a');
    expect(seen?.text).toEqual([
      'Loss of endothelial cells at month 1 12.8 %',
      'time in the nucleus stage 2.30 min',
      'counting error ±7.62 % (95 %)',
    ]);
    expect(unseen?.href).toBeUndefined();
  });

  test('the sensitivity stands below the figure it is held against', () => {
    const lines = sensitivityLines(relation());
    expect(lines.map((l) => l.name)).toEqual(['As above (n 147)', 'Within nuclear grade 3 (n 48)']);
  });

  test('the line of the added-variable plot has the adjusted slope', () => {
    expect(addedLine(relation(), 'thickness')[0]).toMatchObject({ x: 0.2, y: 0.2 * 2.73 });
    // A loss is drawn as 100 ln(before / after): 2.73 % fewer left are 2.768 of it.
    expect(addedLine(relation(), 'loss')[0]?.y).toBeCloseTo(0.2 * 2.768, 4);
  });

  test('of a chance the line fills the chart', () => {
    expect(outcomeDomain(relation(), 'complication')).toEqual([0, 1.25 * 19.9]);
    expect(outcomeDomain(relation(), 'loss')).toBeUndefined();
  });
});
