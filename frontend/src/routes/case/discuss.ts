// What became of a reason to discuss a case, in words.
import type { InboxEntry } from '../../lib/api/inbox';

export function becameOf({ label, state, dismissedReason }: InboxEntry): string {
  switch (state) {
    case 'waiting':
      return `Waits for a meeting as ${label}.`;
    case 'scheduled':
      return `On the agenda of a meeting as ${label}.`;
    case 'dismissed':
      return `Not taken to a meeting: ${dismissedReason ?? ''}`;
    case 'withdrawn':
      return `Withdrawn. ${dismissedReason ?? ''}`.trim();
  }
}
