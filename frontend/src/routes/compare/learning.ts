// From the answer on learning to what the curve draws and the table holds.
import type { Learning } from '../../lib/api/compare';
import { timeLength } from '../../lib/chart/number';
import type { Table } from '../../lib/chart/table';
import type { XYPoint, XYRule } from '../../lib/chart/xy';
import { casePoint } from './lanes';

export function learningPoints(answer: Learning, own: boolean): XYPoint[] {
  return (answer.points ?? []).map((p) => {
    const { text, href, opens } = casePoint(p);
    return {
      x: p.number,
      y: p.total,
      tone: own ? 'own' : 'named',
      shape: p.part ? 'triangle' : 'disc',
      text: [`Case ${p.number}: ${text[0] ?? ''}`, ...text.slice(1)],
      href,
      opens,
    };
  });
}

export const fitOf = (answer: Learning) =>
  (answer.curve ?? []).map((c) => ({ x: c.number, y: c.value, low: c.low, high: c.high }));

/** The level of the group, the floor, and where the rate changes. */
export function learningRules(answer: Learning): XYRule[] {
  const rules: XYRule[] = [];
  if (answer.others)
    rules.push({
      across: 'y',
      at: answer.others.median,
      text: `middle of the others, ${timeLength(answer.others.median)}`,
    });
  if (answer.floor)
    rules.push({
      across: 'y',
      at: answer.floor.level,
      text: `level that practice approaches, ${timeLength(answer.floor.level)}`,
    });
  if (answer.break)
    rules.push({ across: 'x', at: answer.break.at, text: `the rate changes at case ${answer.break.at}` });
  return rules;
}

export function learningTable(answer: Learning): Table {
  const fits = new Map((answer.curve ?? []).map((c) => [c.number, c]));
  const seconds = (ms: number | undefined) => (ms === undefined ? null : Math.round(ms / 100) / 10);
  return {
    columns: [
      { name: 'Case', number: true },
      { name: 'Date' },
      { name: 'Time (s)', number: true },
      { name: 'Nuclear grade', number: true },
      { name: 'Part-case' },
      { name: 'Curve (s)', number: true },
      { name: '95 % low (s)', number: true },
      { name: '95 % high (s)', number: true },
    ],
    rows: (answer.points ?? []).map((p) => {
      const fit = fits.get(p.number);
      return [
        p.number,
        p.date,
        seconds(p.total),
        p.grade,
        p.part ? 'yes' : 'no',
        seconds(fit?.value),
        seconds(fit?.low),
        seconds(fit?.high),
      ];
    }),
  };
}
