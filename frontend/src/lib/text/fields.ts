// The words for the fields of the record, where they are named outside their form.
import type { Problem } from '../api/problem';
import type { Operator } from '../api/types';
import { dateText } from './format';
import { anaesthesiaName, eyeNames, gradeNames, operatorRoleNames, pupilNames, techniqueNames } from './words';

const names: Record<string, string> = {
  pseudonym: 'Pseudonym',
  eye: 'Eye',
  date: 'Date',
  operators: 'Operators',
  sharedWith: 'Shared with',
  'before.age': 'Age',
  'before.sex': 'Sex',
  'before.nuclearGrade': 'Nuclear grade',
  'before.pupil': 'Pupil',
  'before.axialLength': 'Axial length',
  'before.chamberDepth': 'Chamber depth',
  'before.thickness': 'Corneal thickness before',
  'before.acuity': 'Acuity before',
  'before.glaucoma': 'Glaucoma',
  'before.diabeticRetinopathy': 'Diabetic retinopathy',
  'before.brunescentOrWhite': 'Brunescent or white cataract',
  'before.noFundalView': 'No view of the fundus',
  'before.pseudoexfoliation': 'Pseudoexfoliation or phacodonesis',
  'before.alphaBlocker': 'Takes an alpha-blocker',
  'before.cannotLieFlat': 'Cannot lie flat',
  'before.exam': 'Endothelial exam before',
  'before.exam.density': 'Cell density before',
  'before.exam.cells': 'Cells counted before',
  'before.exam.cv': 'Variation of cell area before',
  'before.exam.hexagonality': 'Hexagonality before',
  'before.exam.images': 'Images before',
  'before.exam.instrument': 'Instrument before',
  'before.exam.method': 'Method before',
  'before.exam.date': 'Date of the exam before',
  'operation.techniquePlanned': 'Technique planned',
  'operation.techniquePerformed': 'Technique performed',
  'operation.conversionReason': 'Reason for the conversion',
  'operation.anaesthesia': 'Anaesthesia',
  'operation.machineFamily': 'Machine family',
  'operation.cde': 'Cumulative dissipated energy',
  'operation.ultrasoundTime': 'Ultrasound time (s)',
  'operation.fluidUsed': 'Fluid used (ml)',
  'operation.note': 'Note on the operation',
  acuity: 'Acuity',
  pressure: 'Pressure (mmHg)',
  oedemaGrade: 'Oedema grade',
  thickness: 'Corneal thickness (µm)',
  exam: 'Endothelial exam',
  'exam.density': 'Cell density',
  'exam.cells': 'Cells counted',
  'exam.cv': 'Variation of cell area',
  'exam.hexagonality': 'Hexagonality (%)',
  'exam.images': 'Images',
  'exam.instrument': 'Instrument',
  'exam.method': 'Method',
  'exam.date': 'Date of the exam',
  window: 'Visit',
  note: 'Note',
  kind: 'What happened',
  severity: 'Severity',
  at: 'The moment',
  onDate: 'The day',
  resolvedOn: 'Resolved on',
  action: 'What was done',
  source: 'The recording',
  offset: 'The beginning on the case clock',
  name: 'Name',
  login: 'Sign-in name',
  roles: 'Roles',
  grade: 'Grade',
  lossLimitPercent: 'The limit of the loss',
  densityLimit: 'The limit of the density',
  steps: 'The steps',
  eventKinds: 'The events',
  text: 'The text',
};

/** The columns of the tables in which a step list is changed. */
const columns: Record<string, string> = {
  name: 'name',
  code: 'code',
  key: 'key',
  stage: 'stage',
  begins: 'what begins it',
  ends: 'what ends it',
};

/** What a field is called. */
export function fieldName(path: string): string {
  const [, list, row, column = ''] = /^(steps|eventKinds|operators|sharedWith)\[(\d+)\](?:\.(\w+))?$/.exec(path) ?? [];
  if (list === undefined) return names[path] ?? path;
  if (list === 'operators') return 'An operator';
  if (list === 'sharedWith') return 'Somebody the case is shared with';
  const thing = `${list === 'steps' ? 'Step' : 'Event'} ${Number(row) + 1}`;
  return columns[column] ? `${thing}, ${columns[column]},` : thing;
}

/** What is wrong with a field, as a sentence that names it: messages of the server say only what must change. */
export function fieldSentence(name: string, message: string): string {
  if (!message) return '';
  const whole = /^[a-z]/.test(message) ? `${name} ${message}` : message;
  return /[.!?]$/.test(whole) ? whole : `${whole}.`;
}

/** A refusal in words: its fields by name, or else what the server says. */
export function refusalText(problem: Problem): string {
  if (problem.fields.length === 0) return problem.message;
  return problem.fields.map((f) => fieldSentence(fieldName(f.field), f.message)).join(' ');
}

const codes: Record<string, string> = {
  ...eyeNames,
  ...techniqueNames,
  ...pupilNames,
  female: 'Female',
  male: 'Male',
  yes: 'Yes',
  no: 'No',
};

/** A value of a field in words; personName gives the name for a user id. */
export function valueText(path: string, value: unknown, personName: (id: string) => string): string {
  if (value === undefined || value === null || value === '') return 'unknown';
  if (path === 'operators' && Array.isArray(value)) {
    return (value as Operator[]).map((o) => operatorText(o, personName)).join('; ') || 'nobody';
  }
  if (path === 'sharedWith' && Array.isArray(value)) {
    return (value as string[]).map(personName).join(', ') || 'nobody';
  }
  if (typeof value === 'object') {
    return Object.entries(value)
      .map(([name, v]) => `${fieldName(`exam.${name}`)} ${String(v)}`)
      .join(', ');
  }
  if (path.endsWith('date')) return dateText(String(value));
  if (path.endsWith('anaesthesia')) return anaesthesiaName(String(value));
  return codes[String(value)] ?? String(value);
}

function operatorText(o: Operator, personName: (id: string) => string): string {
  const grade = o.grade ? `, ${gradeNames[o.grade].toLowerCase()}` : '';
  return `${personName(o.userId)} (${operatorRoleNames[o.role].toLowerCase()}${grade})`;
}
