import { address, getList, post, put } from './client';
import type { Person, User } from './types';

/** Everybody a case can name. */
export const people = () => getList<Person>(address(['people']));
export const users = () => getList<User>(address(['users']));
/** Revision 0 makes a new account. */
export const putUser = (user: User) => put<User>(address(['users', user.id]), user);
/** Gives a password that is shown once and must be changed at the next sign-in. */
export const resetPassword = (id: string) =>
  post<{ oneTimePassword: string }>(address(['users', id, 'password-reset']));
