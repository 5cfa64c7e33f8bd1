// The words shown to people for the codes of the domain.
import type {
  Eye,
  Grade,
  IncisionSite,
  LensPosition,
  OperatorRole,
  Ovd,
  PartState,
  Pupil,
  PupilDevice,
  Role,
  Technique,
  Window,
} from '../api/types';

export const eyeNames: Record<Eye, string> = { OD: 'Right eye (OD)', OS: 'Left eye (OS)' };
export const eyeInText: Record<Eye, string> = { OD: 'right eye', OS: 'left eye' };
export const eyeShort: Record<Eye, string> = { OD: 'R', OS: 'L' };
export const techniqueNames: Record<Technique, string> = {
  phaco: 'Phacoemulsification',
  msics: 'Manual small-incision',
  ecce: 'Extracapsular',
};
export const techniqueShort: Record<Technique, string> = { phaco: 'Phaco', msics: 'MSICS', ecce: 'ECCE' };
export const pupilNames: Record<Pupil, string> = { large: 'Large', medium: 'Medium', small: 'Small' };
export const sexNames = { female: 'Female', male: 'Male' } as const;
export const operatorRoleNames: Record<OperatorRole, string> = {
  operator: 'Operator',
  supervisor: 'Supervisor',
  assistant: 'Assistant',
};
export const roleNames: Record<Role, string> = {
  surgeon: 'Surgeon',
  trainee: 'Trainee',
  trainer: 'Trainer',
  chair: 'Meeting chair',
  member: 'Meeting member',
  clinic: 'Clinic staff',
  administrator: 'Administrator',
};
export const gradeNames: Record<Grade, string> = {
  consultant: 'Consultant',
  'associate-specialist': 'Associate specialist',
  'specialty-doctor': 'Specialty doctor',
  fellow: 'Fellow',
  'senior-trainee': 'Senior trainee',
  'junior-trainee': 'Junior trainee',
};
export const windowNames: Record<Window, string> = {
  'day-1': 'Day 1',
  'week-1': 'Week 1',
  'month-1': 'Month 1',
  'month-3': 'Month 3',
  'year-1': 'Year 1',
  other: 'Other visit',
};
export const partStateNames: Record<PartState, string> = {
  ok: 'Ready',
  missing: 'Missing',
  changed: 'Changed',
  'not-playable': 'Not playable here',
};
const anaesthesiaNames: Record<string, string> = {
  topical: 'Topical',
  'topical-intracameral': 'Topical with intracameral',
  'sub-tenon': 'Sub-Tenon',
  peribulbar: 'Peribulbar',
  retrobulbar: 'Retrobulbar',
  general: 'General',
};
export const anaesthesiaName = (code: string) => anaesthesiaNames[code] ?? code;

export const incisionSiteNames: Record<IncisionSite, string> = {
  temporal: 'Temporal',
  superior: 'Superior',
  superotemporal: 'Superotemporal',
  nasal: 'Nasal',
  other: 'Other',
};
export const ovdNames: Record<Ovd, string> = {
  dispersive: 'Dispersive',
  cohesive: 'Cohesive',
  viscoadaptive: 'Viscoadaptive',
  methylcellulose: 'Methylcellulose',
};
export const pupilDeviceNames: Record<PupilDevice, string> = { none: 'None', hooks: 'Hooks', ring: 'Ring' };
export const lensPositionNames: Record<LensPosition, string> = {
  bag: 'Bag',
  sulcus: 'Sulcus',
  'anterior-chamber': 'Anterior chamber',
  scleral: 'Scleral fixation',
  none: 'No lens',
};
/** Kinds of lens to choose from; others can be typed. */
export const lensKinds: readonly string[] = ['monofocal', 'toric', 'extended depth of focus', 'multifocal'];

/** Nuclear hardness, ascending. */
export const nuclearGrades: readonly string[] = ['1 soft', '2', '3', '4', '5 rock-hard'];
/** Corneal oedema on the slit lamp. Common practice. */
export const oedemaGrades: readonly string[] = [
  '0 clear',
  '1 trace, or a few Descemet folds',
  '2 mild, iris details clear',
  '3 moderate, iris details hazy',
  '4 severe, or bullae',
];
export const severityNames: readonly string[] = ['Not graded', 'Slight', 'Moderate', 'Severe'];

/** The six stages in the order of the operation; the number is shown with colour and pattern. */
export const stages = [
  { code: 'opening', name: 'Opening' },
  { code: 'capsule', name: 'Capsule' },
  { code: 'nucleus', name: 'Nucleus' },
  { code: 'cortex', name: 'Cortex' },
  { code: 'lens', name: 'Lens' },
  { code: 'closing', name: 'Closing' },
] as const;
export const stageName = (code: string) => stages.find((s) => s.code === code)?.name ?? code;

export const caution =
  'For education and quality improvement only. Zonule is not a medical device: not for diagnosis, for deciding ' +
  'treatment or, alone, for judging a person’s fitness to practise. Local policy governs consent to record, ' +
  'retention and confidential review. Decisions stay with licensed practitioners.';
