import { type ActionId, actions } from './actions';

/** What a key does: a page action, a step ("step:<code>") or an event ("event:<code>"). */
export type Target = ActionId | `step:${string}` | `event:${string}`;

/** A step or event kind, as far as its key goes. */
export interface Keyed {
  code: string;
  name: string;
  key: string;
}

/** What a person changed: the keys of a target, instead of those it comes with. */
export type Overrides = Readonly<Record<string, readonly string[]>>;

/** Two targets that ask for the same key. */
export interface KeyConflict {
  key: string;
  target: Target;
  holder: Target;
}

/** The key map in force: page actions, the step list in use, and what the person changed. */
export class KeyMap {
  private readonly byKey = new Map<string, Target>();
  private readonly byTarget = new Map<Target, readonly string[]>();
  private readonly repeating = new Set<Target>(actions.filter((a) => a.repeats).map((a) => a.id));
  /** Keys that two targets ask for; the first keeps it. Page actions come first, then steps, then events. */
  readonly conflicts: readonly KeyConflict[];

  constructor(steps: readonly Keyed[], events: readonly Keyed[], overrides: Overrides = {}) {
    const conflicts: KeyConflict[] = [];
    const put = (target: Target, own: readonly string[]) => {
      const keys = overrides[target] ?? own;
      const held: string[] = [];
      for (const key of keys.filter((k) => k !== '')) {
        const holder = this.byKey.get(key);
        if (holder) {
          conflicts.push({ key, target, holder });
          continue;
        }
        this.byKey.set(key, target);
        held.push(key);
      }
      this.byTarget.set(target, held);
    };
    for (const action of actions) put(action.id, action.keys);
    for (const step of steps) put(`step:${step.code}`, [step.key]);
    for (const event of events) put(`event:${event.code}`, [event.key]);
    this.conflicts = conflicts;
  }

  /** What the key does, or undefined. */
  target(key: string): Target | undefined {
    return this.byKey.get(key);
  }

  /** The keys that do it; empty when none does. */
  keys(target: Target): readonly string[] {
    return this.byTarget.get(target) ?? [];
  }

  /** Whether holding the key does it again. */
  repeats(target: Target): boolean {
    return this.repeating.has(target);
  }
}

const prefix = 'zonule.keys.';

/** The changes that a person made on this computer; none when they cannot be read. */
export function readOverrides(storage: Pick<Storage, 'getItem'>, userId: string): Overrides {
  try {
    const stored: unknown = JSON.parse(storage.getItem(prefix + userId) ?? '{}');
    if (typeof stored !== 'object' || stored === null) return {};
    const entries = Object.entries(stored).filter(
      (e): e is [string, string[]] => Array.isArray(e[1]) && e[1].every((k) => typeof k === 'string'),
    );
    return Object.fromEntries(entries);
  } catch {
    return {};
  }
}

/** Keeps the changes; false when the browser does not let us. */
export function writeOverrides(storage: Pick<Storage, 'setItem'>, userId: string, overrides: Overrides): boolean {
  try {
    storage.setItem(prefix + userId, JSON.stringify(overrides));
    return true;
  } catch {
    return false;
  }
}
