// The yes-no-unknown questions about an eye, in the order in which they are asked.
import type { Answer, EyeBefore } from '../../lib/api/types';

export type RiskField = {
  [K in keyof EyeBefore]-?: EyeBefore[K] extends Answer | undefined ? K : never;
}[keyof EyeBefore];

export interface RiskGroup {
  title: string;
  factors: readonly { field: RiskField; label: string }[];
}

export const riskGroups: readonly RiskGroup[] = [
  {
    title: 'Counted in the expected risk',
    factors: [
      { field: 'pseudoexfoliation', label: 'Pseudoexfoliation or phacodonesis' },
      { field: 'brunescentOrWhite', label: 'Brunescent or white cataract' },
      { field: 'noFundalView', label: 'No view of the fundus, or vitreous opacities' },
      { field: 'diabeticRetinopathy', label: 'Diabetic retinopathy' },
      { field: 'glaucoma', label: 'Glaucoma' },
      { field: 'alphaBlocker', label: 'Takes an alpha-blocker' },
      { field: 'cannotLieFlat', label: 'Cannot lie flat' },
    ],
  },
  {
    title: 'Cornea, lens and capsule',
    factors: [
      { field: 'guttata', label: 'Corneal guttata' },
      { field: 'cornealScar', label: 'Corneal scar' },
      { field: 'phacodonesis', label: 'Lens seen to tremble (phacodonesis)' },
      { field: 'posteriorPolar', label: 'Posterior polar cataract' },
      { field: 'capsulePlaque', label: 'Plaque on the posterior capsule' },
    ],
  },
  {
    title: 'Earlier treatment, and the rest of the eye',
    factors: [
      { field: 'previousVitrectomy', label: 'Previous vitrectomy' },
      { field: 'previousInjections', label: 'Previous intravitreal injections' },
      { field: 'amblyopia', label: 'Amblyopia' },
      { field: 'onlyEye', label: 'Only seeing eye' },
      { field: 'deepSetOrbit', label: 'Deep-set orbit' },
      { field: 'diabetes', label: 'Diabetes' },
    ],
  },
];

const factors = riskGroups.flatMap((g) => g.factors);
export const riskCount = factors.length;

/** The questions that nobody has answered. */
export function unanswered(before: EyeBefore): RiskField[] {
  return factors.filter((f) => !before[f.field]).map((f) => f.field);
}
