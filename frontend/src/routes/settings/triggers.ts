// The rules by which cases come to a meeting, as the form shows and keeps them.
import type { TriggerChoice, TriggerRule } from '../../lib/api/unit';

export interface RuleLine extends TriggerChoice {
  rule: TriggerRule;
  /** What the rule asks for beside its switch. */
  asks: 'grade' | 'step' | '';
}

/** One line for each rule that there is, in the order in which they are offered; one that the unit does not have is off. */
export function ruleLines(choices: readonly TriggerChoice[], rules: readonly TriggerRule[]): RuleLine[] {
  return choices.map((choice) => ({
    ...choice,
    rule: rules.find((r) => r.kind === choice.kind) ?? { kind: choice.kind, on: false },
    asks: choice.kind === 'day-1-oedema' ? 'grade' : choice.kind === 'long-step' ? 'step' : '',
  }));
}

/** The rules with one of them changed. */
export function withRule(lines: readonly RuleLine[], kind: string, change: Partial<TriggerRule>): TriggerRule[] {
  return lines.map(({ rule }) => {
    const { step, ...rest } = rule.kind === kind ? { ...rule, ...change } : rule;
    return step ? { ...rest, step } : rest;
  });
}

/** What the rules come to, in one sentence. */
export function rulesSum(lines: readonly RuleLine[]): string {
  const on = lines.filter((l) => l.rule.on).length;
  if (on === 0) return '▲ Every rule is off: no case comes to the meeting.';
  return `${on} of ${lines.length} rules are on.`;
}
