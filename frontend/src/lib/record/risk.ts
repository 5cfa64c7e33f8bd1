// The expected risk of capsule rupture or vitreous loss in words.
import type { ExpectedRisk, RiskFactor } from '../api/record';

/** Where each factor is entered, where that is not "before." and its code. */
const elsewhere: Record<string, string> = { grade: 'operators' };
export const factorField = (code: string) => elsewhere[code] ?? `before.${code}`;

/** The expected risk, short; a range while a factor is unknown. */
export function riskText(risk: Pick<ExpectedRisk, 'percent' | 'lowPercent' | 'highPercent'>): string {
  if (risk.percent !== null) return `${percent(risk.percent)} %`;
  return `${percent(risk.lowPercent)} to ${percent(risk.highPercent)} %`;
}

/** An odds ratio, or the range that an unknown factor leaves. */
export function ratioText(factor: Pick<RiskFactor, 'low' | 'high'>): string {
  const [low, high] = [factor.low.toFixed(2), factor.high.toFixed(2)];
  return low === high ? low : `${low} to ${high}`;
}

/** How many factors nobody has answered; "" when all are known. */
export function unknownText(risk: ExpectedRisk): string {
  const count = risk.factors.filter((f) => !f.known).length;
  if (count === 0) return '';
  return count === 1 ? 'one factor is unknown' : `${count} factors are unknown`;
}

/** A level of the table in words. */
export function levelText(level: string): string {
  return level.replaceAll('-', ' ');
}

function percent(value: number): string {
  return value.toFixed(1);
}
