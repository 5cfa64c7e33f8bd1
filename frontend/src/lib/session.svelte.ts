// Who is signed in, and what every page needs to know about the unit.
import { asProblem, type Problem } from './api/problem';
import * as api from './api/session';
import type { Person, Role, Unit, User } from './api/types';
import { type Catalogue, catalogue, unit } from './api/unit';
import { people } from './api/user';

class Session {
  user = $state.raw<User>();
  unit = $state.raw<Unit>();
  catalogue = $state.raw<Catalogue>();
  people = $state.raw<Person[]>([]);
  /** "checking" until the server has said who is asking. */
  phase = $state<'checking' | 'out' | 'in' | 'failed'>('checking');
  /** The session ended while a page was open: sign in again above it, and nothing typed is lost. */
  expired = $state(false);
  problem = $state.raw<Problem>();

  /** Asks the server who is signed in. */
  async start(): Promise<void> {
    this.phase = 'checking';
    try {
      await this.#enter(await api.me());
    } catch (thrown) {
      const problem = asProblem(thrown);
      if (problem.status === 401) this.phase = 'out';
      else {
        this.problem = problem;
        this.phase = 'failed';
      }
    }
  }

  /** Signs in; as somebody else than before, the page starts afresh. */
  async signIn(login: string, password: string): Promise<void> {
    const user = await api.signIn(login, password);
    if (this.expired && user.id !== this.user?.id) location.assign('/');
    await this.#enter(user);
    this.expired = false;
  }

  async signOut(): Promise<void> {
    await api.signOut();
    // Loading afresh leaves nothing of the one who left in memory.
    location.assign('/sign-in');
  }

  async changePassword(old: string, next: string): Promise<void> {
    await api.changePassword(old, next);
    await this.#enter(await api.me());
  }

  /** The server does not know the session any more. */
  end(): void {
    if (this.phase === 'in') this.expired = true;
  }

  /** Reads people and unit again after they were changed here. */
  async refresh(): Promise<void> {
    [this.unit, this.people] = await Promise.all([unit(), people()]);
  }

  has(...roles: Role[]): boolean {
    return this.user?.roles.some((r) => roles.includes(r)) ?? false;
  }

  /** The name of somebody; of an unknown id a plain word. */
  name(id: string): string {
    return this.people.find((p) => p.id === id)?.name ?? 'somebody no longer listed';
  }

  async #enter(user: User): Promise<void> {
    this.user = user;
    if (!user.mustChangePassword) {
      [this.unit, this.catalogue, this.people] = await Promise.all([unit(), catalogue(), people()]);
    }
    this.phase = 'in';
  }
}

export const session = new Session();
