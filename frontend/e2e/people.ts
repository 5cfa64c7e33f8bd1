import { expect, type Page } from '@playwright/test';

/** The one password of the invented unit; `zonule demo` prints it. */
export const demoPassword = 'lantern-on-the-quay';

/** Signs in through the form. */
export async function signIn(page: Page, login: string, password = demoPassword): Promise<void> {
  await page.goto('/sign-in');
  await page.getByLabel('Sign-in name').fill(login);
  await page.getByLabel('Password', { exact: true }).fill(password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await expect(page.getByLabel('Sign-in name')).toHaveCount(0);
}

/** Makes an account as the administrator and gives its one-time password. */
export async function addPerson(
  page: Page,
  login: string,
  name: string,
  roles: string[],
  grade: string,
): Promise<string> {
  const api = page.context().request;
  await post(page, '/api/v1/sign-in', { login: 'office', password: demoPassword });
  const id = crypto.randomUUID();
  const put = await api.put(`/api/v1/users/${id}`, {
    data: { id, revision: 0, login, name, roles, grade, active: true, mustChangePassword: true, createdAt: 0 },
  });
  expect(put.ok(), await put.text()).toBe(true);
  const reset = await post(page, `/api/v1/users/${id}/password-reset`, undefined);
  await post(page, '/api/v1/sign-out', undefined);
  return (reset as { oneTimePassword: string }).oneTimePassword;
}

async function post(page: Page, path: string, data: unknown): Promise<unknown> {
  const answer = await page.context().request.post(path, { data });
  expect(answer.ok(), `${path}: ${await answer.text()}`).toBe(true);
  const text = await answer.text();
  return text === '' ? undefined : JSON.parse(text);
}
