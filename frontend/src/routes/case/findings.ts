// What the server's draft report says of a case.
import type { Report } from '../../lib/api/report';
import { same } from '../../lib/save/differences';

export interface OpenPoint {
  text: string;
  /** Where to look, if there is such a place. */
  page: string;
}

/** What stands open before a signature: warnings without a reason, then what the record lacks. */
export function openPoints(report: Report): OpenPoint[] {
  const warnings = (report.warnings ?? []).filter((w) => !w.accepted);
  return [
    ...warnings.map((w) => ({ text: w.message, page: w.moment?.page ?? '' })),
    ...(report.missing ?? []).map((m) => ({ text: m.text, page: m.at?.page ?? '' })),
  ];
}

/** How many steps that every such operation has are neither marked nor explained. */
export function stepsOpen(report: Report | undefined): number {
  return (report?.warnings ?? []).filter((w) => w.code === 'required-step-absent' && !w.accepted).length;
}

/** Whether a draft says the same as what was signed. The count of changes alone does not tell: a signature is one. */
export function saysTheSame(draft: Report, signed: Omit<Report, 'hash' | 'change'>): boolean {
  const { hash: _, change: __, ...content } = draft;
  return same({ ...content, caseChange: 0 }, { ...signed, caseChange: 0 });
}
