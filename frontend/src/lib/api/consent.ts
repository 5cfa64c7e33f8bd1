// What the patient agreed to, as it travels.
import type { Answer } from './types';

/** Absent means that it is not known, which is not yes. */
export interface Consent {
  /** The recording may be made, for care. */
  recording?: Answer;
  /** It may be shown at a meeting and for teaching. */
  review?: Answer;
  /** The date on which the patient took it back. */
  withdrawnOn?: string;
  note?: string;
}
