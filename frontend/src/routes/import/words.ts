// What the import says, in words.
import type { Intake, IntakeFile, IntakeRow, Verdict } from '../../lib/api/intake';

export const fieldNames: Record<string, string> = {
  pseudonym: 'Pseudonym of the case',
  eye: 'Eye',
  operated: 'Date of the operation',
  date: 'Date of the visit',
  window: 'Visit (day 1, month 1 …)',
  acuity: 'Acuity',
  pressure: 'Pressure (mmHg)',
  oedemaGrade: 'Oedema grade',
  thickness: 'Corneal thickness (µm)',
  'exam.density': 'Cell density (cells/mm²)',
  'exam.cells': 'Cells counted',
  'exam.cv': 'Variation of cell area',
  'exam.hexagonality': 'Hexagonality (%)',
  'exam.images': 'Images counted',
  'exam.instrument': 'Instrument',
  'exam.method': 'Method of counting',
  'exam.date': 'Date of the count',
  note: 'Note',
};

export const verdictNames: Record<Verdict, string> = {
  new: 'New visit',
  changes: 'Changes a visit',
  same: 'There already',
  refused: 'Refused',
  'no-case': 'No such case',
  ambiguous: 'Several cases',
};
export const verdicts = Object.keys(verdictNames) as Verdict[];

/** How the file was read, so that a wrong guess is seen. */
export function fileText(file: IntakeFile): string {
  if (file.kind === 'xlsx') return `sheet “${file.sheet}”`;
  const separators: Record<string, string> = { ',': 'commas', ';': 'semicolons', '\t': 'tabs' };
  const guess = file.encoding === 'Windows-1252' ? ' (not UTF-8; check the accents below)' : '';
  return `columns parted by ${separators[file.separator] ?? file.separator}, ${file.encoding} text${guess}`;
}

/** What the verdict of a row rests on. */
export function reasonText(row: IntakeRow): string {
  if (row.changes?.length) {
    return row.changes
      .map((c) => `${fieldName(c.field)} from ${valueText(c.before)} to ${valueText(c.after)}`)
      .join('; ');
  }
  if (!row.message) return '';
  return row.field && row.verdict === 'refused' ? `${fieldName(row.field)} ${row.message}` : row.message;
}

function fieldName(code: string): string {
  return (fieldNames[code] ?? code).replace(/ \(.*\)$/, '');
}

function valueText(value: unknown): string {
  if (value === null || value === undefined || value === '') return 'nothing';
  return String(value);
}

/** Rows that will be written. */
export const toWrite = (i: Intake) => (i.counts.new ?? 0) + (i.counts.changes ?? 0);
/** Rows that cannot be. */
export const faulty = (i: Intake) => (i.counts.refused ?? 0) + (i.counts['no-case'] ?? 0) + (i.counts.ambiguous ?? 0);

/** How far it has come, in a sentence for everybody. */
export function stateText(i: Intake): string {
  const rows = i.rows === 1 ? '1 row' : `${i.rows} rows`;
  switch (i.state) {
    case 'to-match':
      return `${rows} read. Say which columns hold the pseudonym, the eye and the date of the visit.`;
    case 'checking':
      return `${i.done} of ${rows} checked. Nothing is written yet.`;
    case 'checked':
      return `${rows} checked: ${toWrite(i)} to write, ${i.counts.same ?? 0} there already, ${faulty(i)} that cannot be. Nothing is written yet.`;
    case 'applying':
      return `${i.done} of ${rows} gone through, ${i.written} written.`;
    case 'applied':
      return `Done: ${i.written} of ${rows} written.`;
    case 'cancelled':
      return `Cancelled: ${i.written} of ${rows} written.`;
  }
}
