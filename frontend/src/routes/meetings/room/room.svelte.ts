// The room on this device: the meeting, where its presenter is, where this device is, and what is written here.
import {
  type ItemRecord,
  type LivePlace,
  leadMeeting,
  type MeetingSheet,
  meeting,
  type Place,
  putItemRecord,
} from '../../../lib/api/meeting';
import { asProblem, type Problem } from '../../../lib/api/problem';
import { pause } from '../../../lib/save/autosave';
import { Draft } from '../../../lib/save/draft.svelte';
import { trimmed } from '../written';
import { expectedMs, ServerClock } from './drift';
import { DeviceCopy } from './kept';
import { Line } from './line';
import { slideAt } from './slides';
import type { LineState } from './words';

/** What a person writes of a record. */
export type WrittenRecord = Omit<ItemRecord, 'writtenBy' | 'writtenAt'>;
const writtenRecord = ({ writtenBy: _, writtenAt: __, ...record }: ItemRecord): WrittenRecord => record;

export class RoomDesk {
  readonly id: string;
  readonly me: string;
  readonly clock = new ServerClock();
  sheet = $state.raw<MeetingSheet>();
  problem = $state.raw<Problem>();
  line = $state<LineState>('connecting');
  endReason = $state('');
  /** Where the presenter is; undefined before the first word, and while nobody has led anywhere. */
  told = $state.raw<Place>();
  /** Where this device looks around by itself; undefined while it follows. */
  own = $state.raw<Place>();
  /** A move of this presenter that the others have not been told yet. */
  moving = $state.raw<Place>();
  /** Why the last move was not taken. */
  refused = $state.raw<Problem>();
  records = $state.raw<ReadonlyMap<string, Draft<WrittenRecord>>>(new Map());
  /** The browser keeps nothing on this device. */
  keepsNothing = $state(false);

  readonly #line: Line;
  #sending = false;
  #tries = 0;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #reading = 0;
  #stops: (() => void)[] = [];

  constructor(id: string, me: string) {
    this.id = id;
    this.me = me;
    this.#line = new Line(id, {
      state: (state, reason) => this.#state(state, reason),
      place: (place) => this.#hear(place),
      change: () => void this.read(),
    });
  }

  start(): void {
    void this.read();
    this.#line.open();
    addEventListener('offline', this.#line.lost);
    addEventListener('online', this.#line.open);
  }

  end(): void {
    removeEventListener('offline', this.#line.lost);
    removeEventListener('online', this.#line.open);
    this.#line.end();
    clearTimeout(this.#timer);
    for (const stop of this.#stops) stop();
    for (const draft of this.records.values()) draft.end();
  }

  /** Reads the meeting again; of several answers under way the newest state stays. */
  read = async (): Promise<void> => {
    const turn = ++this.#reading;
    try {
      const sheet = await meeting(this.id);
      this.take(sheet);
      this.problem = undefined;
    } catch (thrown) {
      // A line that is lost already says so in its own words.
      const problem = asProblem(thrown);
      if (turn === this.#reading && !(problem.passing && this.sheet)) this.problem = problem;
    }
  };

  take(sheet: MeetingSheet): void {
    if (this.sheet && sheet.change < this.sheet.change) return;
    this.sheet = sheet;
    for (const item of sheet.agenda) {
      const draft = this.records.get(item.id);
      if (draft && item.record.revision >= draft.stored.revision) draft.renew(writtenRecord(item.record));
    }
  }

  /** Where the film and the slide of this device are. */
  get place(): Place | undefined {
    return this.own ?? this.moving ?? this.told;
  }
  get slide() {
    const { sheet, place } = this;
    return sheet && place?.itemId ? slideAt(sheet, place) : undefined;
  }
  /** This device leads. */
  get leads(): boolean {
    const { sheet, me } = this;
    return sheet?.state === 'running' && !this.own && (this.moving ?? this.told)?.presenterId === me;
  }

  /** Moves the meeting. Until the server has taken it, only this device shows it; a lost network is tried again. */
  lead(place: Place): void {
    this.own = undefined;
    const { itemId, momentId, slide, part, ms, playing, rate } = place;
    const at = Math.round(this.clock.now());
    const itemAt = this.told?.itemId === itemId ? this.told.itemAt : at;
    this.moving = {
      seq: 0,
      itemId,
      momentId,
      slide,
      part,
      ms,
      playing,
      rate,
      at,
      itemAt,
      presenterId: this.me,
      state: 'running',
    };
    void this.#send();
  }

  /** Leads from where the meeting is: a film that plays goes on playing. */
  takeOver(from: Place): void {
    const part = this.sheet?.agenda.find((i) => i.id === from.itemId)?.recording.find((p) => p.part === from.part);
    this.lead({ ...from, ms: part ? Math.round(expectedMs(from, this.clock.now(), part.duration)) : from.ms });
  }

  lookAround(): void {
    const { place } = this;
    if (place) this.own = { ...place, playing: false };
  }
  follow(): void {
    this.own = undefined;
  }
  /** Moves this device alone. */
  go(place: Place): void {
    this.own = { ...place, at: Math.round(this.clock.now()) };
  }

  /** Writes the record of an item: with what this device kept of it, if that has not been sent. */
  write(itemId: string): Draft<WrittenRecord> | undefined {
    const open = this.records.get(itemId);
    const item = this.sheet?.agenda.find((i) => i.id === itemId);
    if (open || !item) return open;
    const copy = new DeviceCopy<WrittenRecord>(this.me, `record.${itemId}`);
    const draft = new Draft(writtenRecord(item.record), {
      send: (value) =>
        trimmed(putItemRecord(this.id, itemId, { ...value, writtenBy: '', writtenAt: 0 }), writtenRecord),
    });
    const kept = copy.read();
    if (kept) draft.value = kept;
    this.#stops.push(
      $effect.root(() => {
        $effect(() => {
          const value = $state.snapshot(draft.value) as WrittenRecord;
          if (!draft.unsaved) copy.drop();
          else if (!copy.keep(value)) this.keepsNothing = true;
        });
      }),
    );
    this.records = new Map([...this.records, [itemId, draft]]);
    return draft;
  }

  /** Something that was written is not sent yet. */
  get unsent(): boolean {
    return [...this.records.values()].some((d) => d.unsaved);
  }

  async #send(): Promise<void> {
    if (this.#sending) return;
    clearTimeout(this.#timer);
    this.#sending = true;
    while (this.moving) {
      const sent = this.moving;
      try {
        const taken = await leadMeeting(this.id, sent);
        this.refused = undefined;
        this.#tries = 0;
        this.#take(taken);
        if (this.moving === sent) this.moving = undefined;
      } catch (thrown) {
        this.refused = asProblem(thrown);
        if (this.refused.passing) {
          this.#timer = setTimeout(() => void this.#send(), Math.min(pause(++this.#tries), 5000));
          break;
        }
        // What was refused is not shown as if the others saw it.
        if (this.moving === sent) this.moving = undefined;
      }
    }
    this.#sending = false;
  }

  #hear(place: LivePlace): void {
    this.clock.hear(place.sentAt);
    this.#take(place);
  }
  #take(place: Place): void {
    if (!this.told || place.seq >= this.told.seq) this.told = place;
    // The state of the meeting is part of the sheet.
    if (this.sheet && place.state !== this.sheet.state) void this.read();
  }
  #state(state: LineState, reason: string): void {
    this.line = state;
    this.endReason = reason;
    if (state === 'connected' && this.moving) void this.#send();
  }
}
