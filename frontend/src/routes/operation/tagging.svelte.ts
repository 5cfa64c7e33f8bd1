import type { Case, Complication, Instant, Part, Permissions, StepList, StepListRef } from '../../lib/api/types';
import { newId } from '../../lib/ids';
import { Film } from '../../lib/player/film.svelte';
import { KeyMap, type Overrides, readOverrides, writeOverrides } from '../../lib/player/keymap';
import type { FilmPart } from '../../lib/player/media';
import { type Answer, type Desk, listAt, listOf, runningAt } from '../../lib/reading/desk';
import { predict } from '../../lib/reading/prediction';
import type { ReadingSession } from '../../lib/reading/session.svelte';
import { type Line, linesOf, reuse } from '../../lib/reading/sheet';
import { refsOf, timedInput } from '../../lib/reading/timed';
import type { CaseClock } from '../../lib/timeline/clock';
import { durations } from '../../lib/timeline/durations';
import type { TimelineResult } from '../../lib/timeline/result';
import { lineFrom, spanOf } from './lines';

/** What a tagging page is opened with. */
export interface Opened {
  caseData: Case;
  permissions: Permissions;
  person: string;
  parts: readonly Part[];
  filmParts: readonly FilmPart[];
  clock: CaseClock;
  lists: readonly StepList[];
  session: ReadingSession;
  complications: readonly Complication[];
  /** The name of a kind of complication. */
  kindName: (code: string) => string;
}

/** What is open over the lower part of the running sheet. */
export type Drawer = 'comment' | 'complication' | 'thread' | 'warnings' | undefined;

/** What the page says, on the screen and to a screen reader. */
export interface Said {
  text: string;
  refused: boolean;
  count: number;
}

/** One case open for tagging: the film, the reading, and what is selected. Components read it and call it. */
export class Tagging {
  readonly opened: Opened;
  readonly film: Film;
  readonly session: ReadingSession;
  readonly mayMark: boolean;
  readonly mayComment: boolean;
  /** Complications belong to the case and not to a reading. */
  readonly mayRecord: boolean;
  private readonly drawn = new Map<string, Line>();

  selected = $state<{ kind: Line['kind']; id: string }>();
  drawer = $state<Drawer>();
  /** Ids of others' comments that the reader has not seen. */
  unseen = $state.raw<ReadonlySet<string>>(new Set());
  /** The dialog over the page. */
  dialog = $state<'keys' | 'conversion' | 'relabel'>();
  said = $state.raw<Said>({ text: '', refused: false, count: 0 });
  complications = $state.raw<readonly Complication[]>([]);
  /** Who operates in the next step; set by a handover between steps. */
  comingOperator = $state<string>();
  overrides = $state.raw<Overrides>({});
  lists = $state.raw<readonly StepList[]>([]);

  /** What the commands work with. */
  readonly desk: Desk = $derived.by(() => this.makeDesk(this.session.items));
  readonly result: TimelineResult = $derived.by(() => durations(timedInput(this.desk, this.complications)));
  readonly lines: readonly Line[] = $derived.by(() =>
    reuse(linesOf(this.desk, this.result.marks, this.complications, this.opened.kindName), this.drawn),
  );
  readonly position: Instant | undefined = $derived.by(() => {
    const part = this.film.part;
    return part ? { part: part.id, ms: this.film.ms } : undefined;
  });
  /** The list in use at the playhead. */
  readonly list: StepList | undefined = $derived.by(() => {
    const ref = this.position ? listAt(this.desk, this.position) : this.session.reading.stepList;
    return listOf(this, ref);
  });
  readonly keys: KeyMap = $derived.by(
    () => new KeyMap(this.list?.steps ?? [], this.list?.eventKinds ?? [], this.overrides),
  );
  /** Codes of the steps that may start next, the likeliest first, as one text so that equal answers count as equal. */
  private readonly nextCodes: string = $derived.by(() =>
    this.position
      ? predict(this.desk, this.position)
          .slice(0, 3)
          .map((s) => s.code)
          .join(' ')
      : '',
  );
  readonly next = $derived.by(() =>
    this.nextCodes.split(' ').flatMap((code) => this.list?.steps.find((s) => s.code === code) ?? []),
  );
  /** The id of the exclusive episode at the playhead; "" between steps. */
  readonly runningId: string = $derived.by(() =>
    this.position ? (runningAt(this.desk, this.position)?.marker.id ?? '') : '',
  );
  readonly selectedLine: Line | undefined = $derived.by(() => {
    const wanted = this.selected;
    return wanted && this.lines.find((l) => l.kind === wanted.kind && l.id === wanted.id);
  });
  /** List versions that the reading names and that are not loaded. */
  readonly missingLists: readonly StepListRef[] = $derived.by(() =>
    refsOf(this.desk).filter((ref) => !listOf(this, ref)),
  );
  /** Warnings that nobody has accepted. */
  readonly openWarnings = $derived.by(() =>
    this.result.warnings.filter((w) => !this.session.items.acceptances.has(w.key)),
  );

  constructor(opened: Opened) {
    this.opened = opened;
    this.film = new Film(opened.filmParts);
    this.session = opened.session;
    this.complications = opened.complications;
    this.lists = opened.lists;
    const own = opened.session.reading.accepted || opened.session.reading.authorId === opened.person;
    this.mayMark = (opened.permissions['reading.mark'] ?? false) && own;
    this.mayComment = opened.permissions['reading.comment'] ?? false;
    this.mayRecord = opened.permissions['outcome.edit'] ?? false;
    this.overrides = readOverrides(localStorage, opened.person);
  }

  /** The instant on the screen; says so when there is none. */
  here(): Instant | undefined {
    const at = this.film.now();
    if (!at) this.say('There is no recording to mark yet.', true);
    return at;
  }

  /** Records what a command answered and says what happened; false when it refused. */
  act(answer: Answer, words: string): boolean {
    const refusal = this.session.act(answer);
    this.say(refusal ? refusal.refused : words, refusal !== undefined);
    return refusal === undefined;
  }

  undo(): void {
    const refusal = this.session.undo(newId());
    this.say(refusal ? refusal.refused : 'Taken back.', refusal !== undefined);
  }

  redo(): void {
    const refusal = this.session.redo(newId());
    this.say(refusal ? refusal.refused : 'Done again.', refusal !== undefined);
  }

  say(text: string, refused = false): void {
    this.said = { text, refused, count: this.said.count + 1 };
  }

  /** Selects a line and shows its moment. */
  choose(line: Line): void {
    this.selected = { kind: line.kind, id: line.id };
    this.film.seek(line.at);
  }

  /** Selects the line above or below the selected one, or below the playhead. */
  walk(by: 1 | -1): void {
    const now = this.position ? (this.opened.clock.caseTime(this.position) ?? 0) : 0;
    const line = lineFrom(this.lines, this.selectedLine, now, by);
    if (!line) return;
    this.choose(line);
    this.say(line.kind === 'comment' ? `Comment: ${line.comment.text}` : line.name);
  }

  /** Plays the selected line again and again, or stops that. */
  toggleLoop(): void {
    if (this.film.loop) return this.film.setLoop(undefined);
    const line = this.selectedLine ?? this.lines.find((l) => l.id === this.runningId);
    const span = line && spanOf(line);
    if (!span) return this.say('Select a step that has an end, to loop it.', true);
    this.film.setLoop(span);
    this.say('Looping.');
  }

  /** Opens the form or list over the lower part of the sheet. */
  open(drawer: Drawer): void {
    this.film.pause();
    this.drawer = drawer;
  }

  keepKeys(overrides: Overrides): void {
    this.overrides = overrides;
    if (!writeOverrides(localStorage, this.opened.person, overrides)) {
      this.say('The keys are changed until the page is closed: this browser does not let us keep them.', true);
    }
  }

  /** Case-clock time of an instant; undefined outside the recording. */
  time(at: Instant): number | undefined {
    return this.opened.clock.caseTime(at);
  }

  private makeDesk(items: Desk['items']): Desk {
    const { caseData, parts, clock, session, person } = this.opened;
    const rates = new Map(parts.map((p) => [p.id, p.facts.frameRate]));
    const lead = caseData.operators.filter((o) => o.role === 'operator');
    const rest = caseData.operators.filter((o) => o.role !== 'operator');
    return {
      items,
      clock,
      lists: this.lists,
      person,
      rate: (part) => rates.get(part) ?? { num: 0, den: 0 },
      first: session.reading.stepList,
      operators: [...lead, ...rest].map((o) => o.userId),
      newId: () => newId(),
      now: () => Date.now(),
    };
  }

  /** Takes up lists that somebody else's markers have brought. */
  addLists(lists: readonly StepList[]): void {
    this.lists = [...this.lists, ...lists];
  }
}
