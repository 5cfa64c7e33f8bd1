import { address, get, post } from './client';
import type { User } from './types';

export const signIn = (login: string, password: string) => post<User>(address(['sign-in']), { login, password });
export const signOut = () => post<void>(address(['sign-out']));
/** Who is signed in. */
export const me = () => get<User>(address(['me']));
export const changePassword = (old: string, next: string) =>
  post<void>(address(['me', 'password']), { old, new: next });
