/** Reads a number as people type it: a comma may stand for the point. NaN when it is none, undefined when empty. */
export function parseNumber(text: string): number | undefined {
  const clean = text.trim().replace(',', '.');
  if (clean === '') return undefined;
  return /^[-+]?(\d+\.?\d*|\.\d+)$/.test(clean) ? Number(clean) : Number.NaN;
}

/** A number as it is typed; at most six decimals, none of them noise of binary fractions. */
export function numberText(value: number | undefined): string {
  return value === undefined ? '' : String(Number(value.toFixed(6)));
}

/** A coefficient of variation as typed, 30 or 0.30, is kept as a fraction: up to 1.5 it is one already. */
export function fractionOf(typed: number): number {
  return typed > 1.5 ? Number((typed / 100).toFixed(6)) : typed;
}
