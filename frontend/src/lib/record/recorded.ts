// What a field of a record is told by the page it stands on: what is doubtful about it, and the way to its history.
import { getContext, setContext } from 'svelte';

/** Fields go by their path in the case, such as "before.age", or in a visit: "visits[<id>].pressure". */
export interface Recorded {
  /** What a person should look at again, as the server says; "" when nothing. */
  doubt: (field: string) => string;
  /** Opens the history of a field; undefined while nothing of it is stored. */
  past: ((field: string, label: string) => void) | undefined;
}

const key = Symbol('recorded');
const nowhere: Recorded = { doubt: () => '', past: undefined };

/** Tells it to every field below the component that is being made. */
export const tellFields = (recorded: Recorded) => setContext(key, recorded);

/** What the page tells; on a page without records nothing. */
export const recorded = (): Recorded => getContext<Recorded | undefined>(key) ?? nowhere;
