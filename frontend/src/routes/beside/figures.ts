// The figures of two operations on one patient, line by line.
import type { BesideCase } from '../../lib/api/earlier';
import { dateText, duration } from '../../lib/text/format';
import { eyeNames, nuclearGrades, techniqueShort, windowNames } from '../../lib/text/words';

export interface Line {
  name: string;
  earlier: string;
  here: string;
}

const unknown = 'Not known';

/** The lines of the table. Whether the cells of one eye were lost is for its own report, which knows the instruments. */
export function figures(earlier: BesideCase, here: BesideCase): Line[] {
  return lines.map(([name, of]) => ({ name, earlier: of(earlier), here: of(here) }));
}

const lines: [string, (c: BesideCase) => string][] = [
  ['Date', (c) => dateText(c.date)],
  ['Eye', (c) => eyeNames[c.eye]],
  ['Technique', (c) => techniqueShort[c.technique]],
  ['Nuclear grade', (c) => known(c.nuclearGrade, (g) => nuclearGrades[g - 1] ?? unknown)],
  ['Operation time', (c) => known(c.operation, duration)],
  ['Nucleus stage', (c) => known(c.nucleus, duration)],
  ['CDE', (c) => known(c.cde, (v) => v.toFixed(1))],
  ['Endothelial density before', (c) => known(c.densityBefore, density)],
  ['Endothelial density at the last count', after],
  ['Complications', (c) => (c.complications.length > 0 ? c.complications.join(', ') : 'None recorded')],
];

function known(value: number | null, text: (v: number) => string): string {
  return value === null ? unknown : text(value);
}

function density(cells: number): string {
  return `${Math.round(cells)} cells/mm²`;
}

function after(c: BesideCase): string {
  const text = known(c.densityAfter, density);
  return c.window ? `${text}, ${windowNames[c.window].toLowerCase()}` : text;
}

/** What the letter under the figures is. */
export function letterTitle(c: BesideCase): string {
  return c.report
    ? `Report ${c.report.number}, signed by ${c.report.signerName}`
    : 'Draft: no report of this case is signed';
}
