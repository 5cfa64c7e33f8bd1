import 'fake-indexeddb/auto';
import { beforeEach, describe, expect, it, vi } from 'vitest';
import type { Change, Edit, EditAnswer } from '../api/types';
import { buildingOn, nextBatch } from './batch';
import { type Keeper, openKeeper } from './kept';
import { type Failure, Outbox } from './outbox';

let database = 0;
let keeper: Keeper;
beforeEach(async () => {
  keeper = await openKeeper(`test-${++database}`);
});

/** An edit that gives each of the markers a new value. */
function edit(id: string, ...markers: string[]): Edit {
  const changes = markers.map((m): Change => {
    const marker = {
      id: m,
      seq: 0,
      step: 'ovd',
      stepList: { id: 'phaco', version: 1 },
      start: { part: 'A', ms: 0 },
      end: null,
    };
    return { thing: 'marker', id: m, base: 0, marker };
  });
  return { id, action: 'add', changes, seq: 0, authorId: '', madeAt: 0 };
}

/** A server that keeps a journal, refuses a stale base, and can be cut off. */
function serverDouble() {
  const journal: Edit[] = [];
  const seqOf = new Map<string, number>();
  const server = {
    journal,
    requests: [] as string[][],
    failure: undefined as Failure | undefined,
    loseAnswer: false,
    refuse: (_: Edit) => '',
    async send(edits: readonly Edit[]): Promise<{ answers: EditAnswer[] } | { failure: Failure }> {
      server.requests.push(edits.map((e) => e.id));
      if (server.failure) return { failure: server.failure };
      const refused = edits.map((e) => server.refuse(e)).find((m) => m !== '');
      if (refused) return { failure: { kind: 'refused', message: refused } };
      const known = (e: Edit) => journal.find((j) => j.id === e.id);
      const stale = edits.find((e) => !known(e) && e.changes.some((c) => (seqOf.get(c.id) ?? 0) !== c.base));
      if (stale) return { failure: { kind: 'stale', message: `stale ${stale.id}` } };
      const answers = edits.map((e) => {
        const before = known(e);
        if (before) return { id: e.id, seq: before.seq, alreadyDone: true };
        const seq = journal.push({ ...e, seq: journal.length + 1 });
        for (const c of e.changes) seqOf.set(c.id, seq);
        return { id: e.id, seq, alreadyDone: false };
      });
      if (!server.loseAnswer) return { answers };
      server.loseAnswer = false;
      return { failure: { kind: 'passing', offline: true, message: 'cut off' } };
    },
  };
  return server;
}

function outbox(server: ReturnType<typeof serverDouble>, kept: Keeper = keeper, page = 'page') {
  const timers: (() => void)[] = [];
  const pauses: number[] = [];
  const box = new Outbox('me', 'reading', {
    keeper: kept,
    send: (edits) => server.send(edits),
    later: (ms, action) => {
      pauses.push(ms);
      timers.push(action);
      return () => timers.splice(timers.indexOf(action), 1);
    },
    acknowledged: () => {},
    changed: () => {},
    page,
  });
  return { box, timers, pauses };
}

const saved = (box: Outbox) => vi.waitFor(() => expect(box.state).toBe('saved'));
const offline: Failure = { kind: 'passing', offline: true, message: 'no network' };

describe('the outbox', () => {
  it('sends in order and gives a later edit the base of the one it builds on', async () => {
    const server = serverDouble();
    const { box } = outbox(server);
    for (const e of [edit('e1', 'a'), edit('e2', 'b'), edit('e3', 'a', 'c'), edit('e4', 'c')]) box.add(e);
    await saved(box);
    expect(server.journal.map((e) => e.id)).toEqual(['e1', 'e2', 'e3', 'e4']);
    expect(server.journal[2]?.changes.map((c) => c.base)).toEqual([1, 0]);
    expect(await keeper.read('me', 'reading')).toEqual([]);
  });

  it('counts an edit once when the answer was lost', async () => {
    const server = serverDouble();
    server.loseAnswer = true;
    const { box, timers } = outbox(server);
    box.add(edit('e1', 'a'));
    await vi.waitFor(() => expect(box.state).toBe('offline'));
    timers[0]?.();
    await saved(box);
    expect(server.journal).toHaveLength(1);
  });

  it('keeps edits while offline, over a reload, and pauses longer each time', async () => {
    const server = serverDouble();
    server.failure = offline;
    const first = outbox(server);
    first.box.add(edit('e1', 'a'));
    first.box.add(edit('e2', 'a'));
    await vi.waitFor(() => expect(first.timers).toHaveLength(1));
    for (let i = 0; i < 6; i++) {
      const before = first.pauses.length;
      first.timers[first.timers.length - 1]?.();
      await vi.waitFor(() => expect(first.pauses.length).toBe(before + 1));
    }
    expect(first.pauses).toEqual([1000, 2000, 4000, 8000, 16_000, 30_000, 30_000]);
    expect(first.box.state).toBe('offline');

    server.failure = undefined;
    const second = outbox(server, keeper, 'another page');
    await second.box.open((page) => page === 'page');
    await saved(second.box);
    expect(server.journal.map((e) => [e.id, e.changes[0]?.base])).toEqual([
      ['e1', 0],
      ['e2', 1],
    ]);
  });

  it('leaves the edits of a page that is open alone', async () => {
    const server = serverDouble();
    server.failure = offline;
    outbox(server).box.add(edit('e1', 'a'));
    await vi.waitFor(async () => expect(await keeper.read('me', 'reading')).toHaveLength(1));
    const second = outbox(server, keeper, 'another page').box;
    await second.open(() => false);
    expect(second.waiting).toEqual([]);
  });

  it('finds the refused edit of a batch, stops there, and goes on without it', async () => {
    const server = serverDouble();
    server.refuse = (e) => (e.id === 'e2' ? 'no such step' : '');
    const { box } = outbox(server);
    for (const e of [edit('e1', 'a'), edit('e2', 'b'), edit('e3', 'c')]) box.add(e);
    await vi.waitFor(() => expect(box.state).toBe('stopped'));
    expect(box.failure?.message).toBe('no such step');
    expect(box.waiting[0]?.edit.id).toBe('e2');
    box.resolve([], new Set(['e2']));
    await saved(box);
    expect(server.journal.map((e) => e.id)).toEqual(['e1', 'e3']);
    expect(await keeper.read('me', 'reading')).toEqual([]);
  });

  it('stops at a conflict until it is resolved', async () => {
    const server = serverDouble();
    await server.send([edit('theirs', 'a')]);
    const { box } = outbox(server);
    box.add(edit('mine', 'a'));
    await vi.waitFor(() => expect(box.failure?.kind).toBe('stale'));
    box.retry();
    expect(box.state).toBe('stopped');
    const mine = edit('mine', 'a');
    box.resolve([{ ...mine, changes: mine.changes.map((c) => ({ ...c, base: 1 })) }], new Set());
    await saved(box);
    expect(server.journal.map((e) => e.id)).toEqual(['theirs', 'mine']);
  });

  it('says when the browser could not keep an edit', async () => {
    const broken: Keeper = { ...keeper, add: () => Promise.reject(new Error('full')) };
    const { box } = outbox(serverDouble(), broken);
    box.add(edit('e1', 'a'));
    await saved(box);
    expect(box.keepingFailed).toBe(true);
  });
});

describe('batches', () => {
  const waiting = [edit('e1', 'a'), edit('e2', 'b'), edit('e3', 'b', 'c'), edit('e4', 'd'), edit('e5', 'c')].map(
    (e, order) => ({
      order,
      readingId: 'reading',
      person: 'me',
      page: 'page',
      edit: e,
    }),
  );

  it('end before an edit that builds on one of them', () => {
    expect(nextBatch(waiting).map((w) => w.edit.id)).toEqual(['e1', 'e2']);
    expect(nextBatch(waiting, 1)).toHaveLength(1);
  });

  it('know what builds on an edit, directly or through another', () => {
    expect(buildingOn(waiting, 'e2').map((w) => w.edit.id)).toEqual(['e2', 'e3', 'e5']);
  });
});
