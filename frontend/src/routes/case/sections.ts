// Which field of a case stands in which section of its page, by the JSON path of the field.
import { riskGroups } from './risks';

const risks = new Set(riskGroups.flatMap((g) => g.factors.map((f) => `before.${f.field}`)));

export const isRiskFactor = (field: string) => risks.has(field);
export const isExamBefore = (field: string) => /^before\.(exam|fellowEye)(\.|$)/.test(field);
export const isEyeFact = (field: string) => field.startsWith('before.') && !isRiskFactor(field) && !isExamBefore(field);
export const isOperationFact = (field: string) => field.startsWith('operation.');
export const isConsent = (field: string) => field.startsWith('consent.');
export const isCaseFact = (field: string) =>
  !field.startsWith('before.') && !isOperationFact(field) && !isConsent(field);
