import { fireEvent, render, screen } from '@testing-library/svelte';
import { beforeEach, expect, test, vi } from 'vitest';
import { Problem } from '../api/problem';
import { rest } from '../save/autosave';
import { Draft } from '../save/draft.svelte';
import ConflictDialog from './ConflictDialog.svelte';

interface Eye {
  revision: number;
  before: { age?: number; pupil?: string };
}

beforeEach(() => {
  HTMLDialogElement.prototype.showModal ??= function show(this: HTMLDialogElement) {
    this.open = true;
  };
});

test('both versions stand side by side, and only what was chosen is sent', async () => {
  vi.useFakeTimers();
  const theirs: Eye = { revision: 5, before: { age: 80, pupil: 'small' } };
  const send = vi
    .fn<(e: Eye) => Promise<Eye>>()
    .mockRejectedValueOnce(new Problem(409, { code: 'stale', theirs }))
    .mockImplementation((e) => Promise.resolve({ ...e, revision: e.revision + 1 }));
  const draft = new Draft<Eye>({ revision: 4, before: { age: 70, pupil: 'medium' } }, { send });
  render(ConflictDialog, { draft: draft as never, thing: 'this case' });
  await Promise.resolve();
  draft.value.before.age = 71;
  await vi.advanceTimersByTimeAsync(rest + 1);
  vi.useRealTimers();

  expect(screen.getByText('Two versions of this case')).toBeTruthy();
  const keep = screen.getByText('2 still to choose') as HTMLButtonElement;
  expect(keep.disabled).toBe(true);
  await fireEvent.click(screen.getByLabelText('71'));
  await fireEvent.click(screen.getByLabelText('Small'));
  await fireEvent.click(screen.getByText('Keep this choice'));
  await vi.waitFor(() => expect(send).toHaveBeenCalledTimes(2));
  expect(send.mock.calls[1]?.[0]).toEqual({ revision: 5, before: { age: 71, pupil: 'small' } });
  await vi.waitFor(() => expect(draft.unsaved).toBe(false));
});
