// One meeting on the screen: as it was read last, with what is written of it and not kept yet.
import {
  type AgendaItem,
  type Meeting,
  type MeetingSheet,
  meeting,
  putMeeting,
  putMeetingItem,
} from '../../lib/api/meeting';
import { asProblem, type Problem } from '../../lib/api/problem';
import { Draft } from '../../lib/save/draft.svelte';
import { lackingOf, lackingOfMeeting, trimmed, type WrittenItem, writtenItem, writtenMeeting } from './written';

export class MeetingDesk {
  readonly id: string;
  sheet = $state.raw<MeetingSheet>();
  /** Why it could not be read. */
  problem = $state.raw<Problem>();
  /** Why the last change was not taken. */
  refused = $state.raw<Problem>();
  settings = $state.raw<Draft<Meeting>>();
  items = $state.raw<ReadonlyMap<string, Draft<WrittenItem>>>(new Map());

  constructor(id: string) {
    this.id = id;
  }

  async read(): Promise<void> {
    try {
      this.take(await meeting(this.id));
      this.problem = undefined;
    } catch (thrown) {
      this.problem = asProblem(thrown);
    }
  }

  /** Takes over a sheet, unless a newer one is there. What is being written stays. */
  take(sheet: MeetingSheet): void {
    if (this.sheet && sheet.change < this.sheet.change) return;
    this.sheet = sheet;
    if (sheet.revision >= (this.settings?.stored.revision ?? 0)) this.settings?.renew(writtenMeeting(sheet));
    for (const item of sheet.agenda) {
      const draft = this.items.get(item.id);
      if (draft && item.revision >= draft.stored.revision) draft.renew(writtenItem(item));
    }
  }

  /** Does one change; tells whether it was taken. */
  async tries(change: () => Promise<unknown>): Promise<boolean> {
    this.refused = undefined;
    try {
      await change();
      return true;
    } catch (thrown) {
      this.refused = asProblem(thrown);
      return false;
    }
  }

  /** Does one change and reads the meeting again; tells whether it was taken. */
  async does(change: () => Promise<unknown>): Promise<boolean> {
    const taken = await this.tries(change);
    await this.read();
    return taken;
  }

  /** Begins to write the settings. */
  changeSettings(): void {
    if (!this.sheet || this.settings) return;
    this.settings = new Draft(writtenMeeting(this.sheet), {
      // A refusal holds the stored meeting, an answer the whole sheet; of both the same part is written.
      send: (value) => trimmed<Meeting, Meeting>(putMeeting(value), writtenMeeting),
      ready: (value) => lackingOfMeeting(value) === '',
      saved: () => void this.read(),
    });
  }

  /** Begins to write an item. */
  changeItem(item: AgendaItem): Draft<WrittenItem> {
    const open = this.items.get(item.id);
    if (open) return open;
    const draft = new Draft(writtenItem(item), {
      // Place 0 leaves it where it is: somebody may move it meanwhile.
      send: (value) => trimmed(putMeetingItem(this.id, { ...item, ...value, place: 0, inboxIds: [] }), writtenItem),
      ready: (value) => lackingOf(value) === '',
      saved: () => void this.read(),
    });
    this.items = new Map([...this.items, [item.id, draft]]);
    return draft;
  }

  /** Gives up writing an item that is gone. */
  forget(itemId: string): void {
    this.items.get(itemId)?.discard();
    this.items = new Map([...this.items].filter(([id]) => id !== itemId));
  }

  /** Something written is stuck. */
  get stuck(): boolean {
    return this.settings?.stuck === true || [...this.items.values()].some((d) => d.stuck);
  }

  /** Sends what waits and lets go. */
  end(): void {
    this.settings?.end();
    for (const draft of this.items.values()) draft.end();
  }
}
