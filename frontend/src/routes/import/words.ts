// What the import says, in words.
import type { Intake, IntakeField, IntakeFile, IntakeRow, Verdict } from '../../lib/api/intake';

const fieldNames: Record<string, string> = {
  pseudonym: 'Pseudonym of the case',
  eye: 'Eye',
  operated: 'Date of the operation',
  date: 'Date of the visit',
  window: 'Visit (before, day 1, month 1 …)',
  acuity: 'Acuity, corrected',
  uncorrectedAcuity: 'Acuity, uncorrected',
  'refraction.sphere': 'Sphere (D)',
  'refraction.cylinder': 'Cylinder (D)',
  'refraction.axis': 'Axis (degrees)',
  pressure: 'Pressure (mmHg)',
  oedemaGrade: 'Oedema grade',
  thickness: 'Corneal thickness (µm)',
  'exam.density': 'Cell density (cells/mm²)',
  'exam.cells': 'Cells counted',
  'exam.cv': 'Variation of cell area',
  'exam.hexagonality': 'Hexagonality (%)',
  'exam.images': 'Images counted',
  'exam.imageCounts': 'Images listed',
  'exam.instrument': 'Instrument',
  'exam.method': 'Method of counting',
  'exam.date': 'Date of the count',
  medication: 'Medication',
  note: 'Note',
};
const imageNames: Record<string, string> = {
  density: 'cell density (cells/mm²)',
  cells: 'cells counted',
  cv: 'variation of cell area',
};

/** What a column may hold, in words; a path in the eye before too. */
export function fieldName(code: string): string {
  const before = code.startsWith('before.');
  const field = before ? code.slice(7) : code;
  const image = /^exam\.imageCounts\[(\d+)\]\.(\w+)$/.exec(field);
  const name = image ? `Image ${Number(image[1]) + 1}: ${imageNames[image[2] ?? ''] ?? image[2]}` : fieldNames[field];
  if (name === undefined) return code;
  return before ? `Before: ${name}` : name;
}

/** The fields in the groups in which they are offered. */
export function grouped(fields: IntakeField[]): { title: string; fields: IntakeField[] }[] {
  const title = (code: string) => {
    if (code.startsWith('exam.imageCounts')) return 'Single images of the count';
    if (code.startsWith('exam.')) return 'Endothelial count';
    return ['pseudonym', 'eye', 'operated', 'date', 'window'].includes(code) ? 'Whom and when' : 'Findings';
  };
  const groups = new Map<string, IntakeField[]>();
  for (const field of fields) groups.set(title(field.code), [...(groups.get(title(field.code)) ?? []), field]);
  return [...groups].map(([name, list]) => ({ title: name, fields: list }));
}

export const verdictNames: Record<Verdict, string> = {
  new: 'New visit',
  changes: 'Changes the record',
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
  const texts = (row.changes ?? []).map(
    (c) => `${shortName(c.field)} from ${valueText(c.before)} to ${valueText(c.after)}`,
  );
  if (row.message)
    texts.push(row.field && row.verdict === 'refused' ? `${shortName(row.field)} ${row.message}` : row.message);
  return texts.join('; ');
}

/** A field without its unit. */
function shortName(code: string): string {
  return fieldName(code).replace(/ \(.*\)$/, '');
}

function valueText(value: unknown): string {
  if (value === null || value === undefined || value === '') return 'nothing';
  if (Array.isArray(value)) return value.length === 1 ? 'one image' : `${value.length} images`;
  return typeof value === 'number' ? String(Number(value.toPrecision(6))) : String(value);
}

/** Rows that will be written. */
export const toWrite = (i: Intake) => (i.counts.new ?? 0) + (i.counts.changes ?? 0);
/** Rows that cannot be. */
export const faulty = (i: Intake) => (i.counts.refused ?? 0) + (i.counts['no-case'] ?? 0) + (i.counts.ambiguous ?? 0);

/** From so many rows on a whole file keeps others from saving for longer than they would like to wait. */
export const manyRows = 5000;

/** What the two ways of writing mean for this file. */
export function waysText(i: Intake): string {
  const rows = toWrite(i);
  // About 2 000 rows a second, which a slow machine does too.
  const seconds = Math.max(1, Math.ceil(rows / 2000));
  const time = seconds < 100 ? `about ${seconds} s` : `about ${Math.round(seconds / 60)} min`;
  const wait =
    rows > manyRows
      ? ` It takes ${time}, during which nobody else can save: for so many rows better when no one is at work.`
      : '';
  return `“All rows, or none” writes everything in one go, and nothing at all if one row cannot be written or you stop it.${wait} “Accepted rows” writes batch after batch: you see how far it is, may pause it, and keep what was written.`;
}

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
