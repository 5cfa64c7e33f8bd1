// What the server's draft report says of a case, in the sentences that the page shows beside the forms.
import type { Report, Risk, VisitLine } from '../../lib/api/report';
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

/** The expected risk, short; a range when a factor is unknown. */
export function riskText(risk: Risk): string {
  if (risk.percent !== null) return `${percent(risk.percent)} %`;
  return `${percent(risk.lowPercent)} to ${percent(risk.highPercent)} %`;
}

/** What followed from a visit: loss of cells with its counting error, change of thickness, flags of the unit. */
export function visitFindings(line: VisitLine): string[] {
  const found: string[] = [];
  const loss = line.loss;
  if (loss && loss.lossPercent !== null) found.push(lossText(loss.lossPercent, loss.low, loss.high));
  if (loss?.beyondCountingError === false) found.push('This is within counting error: it may be no loss at all.');
  if (loss?.beyondCountingError === true) found.push('This is beyond counting error.');
  if (line.thicknessChange !== null) {
    const way = line.thicknessChange < 0 ? 'thinner' : 'thicker';
    found.push(`The cornea is ${percent(Math.abs(line.thicknessChange))} % ${way} than before the operation.`);
  }
  for (const flag of line.flags ?? []) found.push(`Flagged: ${flag}.`);
  return [...found, ...(loss?.notes ?? [])];
}

function lossText(value: number, low: number | null, high: number | null): string {
  const what = value < 0 ? 'Gain' : 'Loss';
  const range =
    low === null || high === null
      ? '; the counting error is not known'
      : ` (${value < 0 ? `loss of ${percent(low)} to ${percent(high)}` : `${percent(low)} to ${percent(high)}`} %, 95 % interval of counting error)`;
  return `${what} of endothelial cells ${percent(Math.abs(value))} %${range}.`;
}

function percent(value: number): string {
  return value.toFixed(1).replace('-', '−');
}
