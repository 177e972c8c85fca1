import { computed, signal } from '@preact/signals';
import type { NewSession, SignedIn } from '../../../shared/contract/session.ts';
import { post, read, remove } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import { onSignedOut } from '../api/request.ts';

/** Who is signed in; null: nobody; undefined: not asked yet. */
export const who = signal<SignedIn | null | undefined>(undefined);

/** The time zone in which instants are shown. */
export const timeZone = computed(() => who.value?.organisation.timeZone ?? 'UTC');

onSignedOut(() => {
  who.value = null;
});

/** True when the person may do what the permission names. */
export const may = (permission: string): boolean =>
  who.value?.permissions.includes(permission) ?? false;

export const hasRole = (role: string): boolean => who.value?.person.roles.includes(role) ?? false;

/** Asks the service who holds the session of this browser. */
export async function restoreSession(): Promise<void> {
  try {
    who.value = await read('/sessions/current');
  } catch (error) {
    if (!(error instanceof Refusal) || error.code !== 'unauthenticated') throw error;
    who.value = null;
  }
}

/** @throws {Refusal} `wrong-credentials`, or `conflict` with `organisations` to choose from */
export async function signIn(credentials: NewSession): Promise<void> {
  who.value = (await post<SignedIn>('/sessions', credentials)).body;
}

export async function signOut(): Promise<void> {
  await remove('/sessions/current');
  who.value = null;
}
