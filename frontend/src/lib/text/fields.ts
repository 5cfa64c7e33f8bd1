// The words for the fields of the record, where they are named outside their form.
import type { Problem } from '../api/problem';
import type { Operator } from '../api/types';
import { dateText } from './format';
import { meetingNames, meetingRow, meetingValue } from './meetingfields';
import {
  anaesthesiaName,
  eyeNames,
  gradeNames,
  incisionSiteNames,
  lensPositionNames,
  operatorRoleNames,
  ovdNames,
  pupilDeviceNames,
  pupilNames,
  stageName,
  techniqueNames,
  windowNames,
} from './words';

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
  'before.uncorrectedAcuity': 'Uncorrected acuity before',
  'before.refraction': 'Refraction before',
  'before.refraction.sphere': 'Sphere before (D)',
  'before.refraction.cylinder': 'Cylinder before (D)',
  'before.refraction.axis': 'Axis before (°)',
  'before.pressure': 'Pressure before (mmHg)',
  'before.locs': 'LOCS III',
  'before.locs.nuclearOpalescence': 'LOCS III, nuclear opalescence',
  'before.locs.nuclearColour': 'LOCS III, nuclear colour',
  'before.locs.cortical': 'LOCS III, cortical',
  'before.locs.posteriorSubcapsular': 'LOCS III, posterior subcapsular',
  'before.whiteToWhite': 'White to white (mm)',
  'before.keratometry': 'Keratometry',
  'before.keratometry.flat': 'K flat (D)',
  'before.keratometry.steep': 'K steep (D)',
  'before.keratometry.axis': 'K steep axis (°)',
  'before.guttata': 'Corneal guttata',
  'before.deepSetOrbit': 'Deep-set orbit',
  'before.previousVitrectomy': 'Previous vitrectomy',
  'before.previousInjections': 'Previous intravitreal injections',
  'before.diabetes': 'Diabetes',
  'before.amblyopia': 'Amblyopia',
  'before.onlyEye': 'Only seeing eye',
  'before.cornealScar': 'Corneal scar',
  'before.capsulePlaque': 'Plaque on the posterior capsule',
  'before.posteriorPolar': 'Posterior polar cataract',
  'before.phacodonesis': 'Lens seen to tremble (phacodonesis)',
  'before.fellowEye': 'Fellow eye',
  'before.fellowEye.operated': 'Fellow eye operated',
  'before.fellowEye.acuity': 'Acuity of the fellow eye',
  'before.fellowEye.note': 'Note on the fellow eye',
  'before.fellowEye.exam': 'Endothelial exam of the fellow eye',
  'before.exam': 'Endothelial exam before',
  'before.exam.imageCounts': 'Images counted apart before',
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
  'operation.incisionSite': 'Incision',
  'operation.incisionSize': 'Incision size (mm)',
  'operation.ovds': 'OVD',
  'operation.dye': 'Capsule dye',
  'operation.pupilDevice': 'Pupil device',
  'operation.lensKind': 'Lens kind',
  'operation.lensPower': 'Lens power (D)',
  'operation.lensPosition': 'Lens position',
  'operation.targetRefraction': 'Target refraction (D)',
  'operation.longitudinalTime': 'Longitudinal time (s)',
  'operation.longitudinalPower': 'Longitudinal power (%)',
  'operation.torsionalTime': 'Torsional time (s)',
  'operation.torsionalAmplitude': 'Torsional amplitude (%)',
  'operation.ept': 'Effective phaco time (s)',
  'operation.aspirationTime': 'Aspiration time (s)',
  'operation.settings': 'Settings of the machine',
  lostToFollowUp: 'Lost to follow-up',
  'lostToFollowUp.on': 'Lost to follow-up since',
  'lostToFollowUp.reason': 'Why lost to follow-up',
  'consent.recording': 'Consent to the recording, for care',
  'consent.review': 'Consent to show it',
  'consent.withdrawnOn': 'Consent taken back on',
  'consent.note': 'Note on the consent',
  'operation.note': 'Note on the operation',
  acuity: 'Acuity',
  uncorrectedAcuity: 'Uncorrected acuity',
  refraction: 'Refraction',
  'refraction.sphere': 'Sphere (D)',
  'refraction.cylinder': 'Cylinder (D)',
  'refraction.axis': 'Axis (°)',
  medication: 'Medication',
  visitId: 'The visit',
  pressure: 'Pressure (mmHg)',
  oedemaGrade: 'Oedema grade',
  thickness: 'Corneal thickness (µm)',
  exam: 'Endothelial exam',
  fellowExam: 'Endothelial exam of the fellow eye',
  'exam.density': 'Cell density',
  'exam.cells': 'Cells counted',
  'exam.cv': 'Variation of cell area',
  'exam.hexagonality': 'Hexagonality (%)',
  'exam.images': 'Images',
  'exam.imageCounts': 'Images counted apart',
  'exam.instrument': 'Instrument',
  'exam.method': 'Method',
  'exam.date': 'Date of the exam',
  compareInstruments: 'Counts of different instruments compared',
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
  windows: 'The plan of follow-up',
  triggers: 'The meeting rules',
  recalibration: 'The fit of the expected risk',
  'recalibration.on': 'The fit of the expected risk is on',
  'recalibration.from': 'The beginning of the window',
  'recalibration.to': 'The end of the window',
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

/** What stands in the rows of the longer lists of the record. */
const cells: Record<string, string> = {
  stage: 'stage',
  vacuum: 'vacuum (mmHg)',
  flow: 'flow (ml/min)',
  power: 'power (%)',
  pressure: 'pressure (mmHg)',
  window: 'visit',
  dueDays: 'due from day',
  lateDays: 'overdue after day',
  required: 'required',
  density: 'density',
  cells: 'cells counted',
  cv: 'variation of cell area',
};

const rowNames: Record<string, string> = { settings: 'Settings', imageCounts: 'Image', windows: 'Visit' };

/** What a field is called. */
export function fieldName(path: string): string {
  const fellow = /^(?:before\.fellowEye\.e|fellowE)(xam\..+)$/.exec(path)?.[1];
  if (fellow) return `${fieldName(`e${fellow}`)}, fellow eye`;
  const [, rows, place, cell = ''] = /(imageCounts|settings|windows)\[(\d+)\](?:\.(\w+))?$/.exec(path) ?? [];
  if (rows) return [`${rowNames[rows] ?? rows} ${Number(place) + 1}`, cells[cell]].filter(Boolean).join(', ');
  const [, list, row, column = ''] = /^(steps|eventKinds|operators|sharedWith)\[(\d+)\](?:\.(\w+))?$/.exec(path) ?? [];
  if (list === undefined) return names[path] ?? meetingNames[path] ?? meetingRow(path) ?? path;
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
  ...incisionSiteNames,
  ...ovdNames,
  ...pupilDeviceNames,
  female: 'Female',
  male: 'Male',
  yes: 'Yes',
  no: 'No',
};

/** A value of a field in words; personName gives the name for a user id. */
export function valueText(path: string, value: unknown, personName: (id: string) => string): string {
  if (value === undefined || value === null || value === '') return 'unknown';
  const ofMeeting = meetingValue(path, value, personName);
  if (ofMeeting !== undefined) return ofMeeting;
  if (Array.isArray(value)) return listText(path, value, personName);
  if (typeof value === 'object') return partsText(path, value, personName);
  if (typeof value === 'boolean') return value ? 'Yes' : 'No';
  const text = String(value);
  if (/(^|\.)(date|on|onDate|resolvedOn)$/.test(path)) return dateText(text);
  if (path.endsWith('anaesthesia')) return anaesthesiaName(text);
  if (path.endsWith('lensPosition')) return (lensPositionNames as Record<string, string>)[text] ?? text;
  if (path === 'window' || path.endsWith('.window')) return (windowNames as Record<string, string>)[text] ?? text;
  if (path.endsWith('.stage')) return stageName(text);
  return codes[text] ?? text;
}

function listText(path: string, list: unknown[], personName: (id: string) => string): string {
  if (path === 'operators') return (list as Operator[]).map((o) => operatorText(o, personName)).join('; ') || 'nobody';
  if (path === 'sharedWith') return (list as string[]).map(personName).join(', ') || 'nobody';
  if (list.length === 0) return 'unknown';
  const rows = list.map((row) =>
    valueText(/imageCounts|settings|windows/.test(path) ? `${path}[0]` : path, row, personName),
  );
  return rows.join(typeof list[0] === 'object' ? '; ' : ', ');
}

/** The known parts of a value that has several, each with its name. */
function partsText(path: string, value: object, personName: (id: string) => string): string {
  const row = path.endsWith(']');
  const within = path.endsWith('exam') ? 'exam' : path;
  return Object.entries(value)
    .filter(([, v]) => v !== undefined && v !== null && v !== '')
    .map(([name, v]) => {
      const field = `${within}.${name}`;
      return `${row ? (cells[name] ?? name) : fieldName(field)} ${valueText(field, v, personName)}`;
    })
    .join(', ');
}

function operatorText(o: Operator, personName: (id: string) => string): string {
  const grade = o.grade ? `, ${gradeNames[o.grade].toLowerCase()}` : '';
  return `${personName(o.userId)} (${operatorRoleNames[o.role].toLowerCase()}${grade})`;
}
