import { effect, signal } from '@preact/signals';
import type { SignedIn } from '../../../../shared/contract/session.ts';
import { Unreachable } from '../../api/refusal.ts';
import { restoreSession, who } from '../../session/session.ts';
import { copy, keepCopy } from './copies.ts';

/** Who signed in on this phone last: the phone works for them also without a network. */
export const owner = signal<SignedIn | null>(null);

/** True once the service has said that the session is over, or was ended because the phone is lost. */
export const isShutOut = signal(false);

/** True when the last request got no answer. */
export const isOffline = signal(!navigator.onLine);

// The phone cannot tell a session that ran out from one that was ended. Recording goes on for its last
// person; nothing is sent or read until somebody signs in, and no copy names a household.
effect(() => {
  if (isShutOut.value && who.value === null) who.value = owner.value;
});

addEventListener('offline', () => {
  isOffline.value = true;
});

/** Finds out whom the phone works for: from the service, or from what is kept without it. */
export async function restoreOwner(): Promise<void> {
  owner.value = (await copy<SignedIn>('signed-in')) ?? null;
  // Until the service says otherwise the session of the last visit counts.
  if (owner.value) who.value = owner.value;
  await askSession();
}

/** Asks the service who is signed in; keeps the answer. */
export async function askSession(): Promise<void> {
  try {
    await restoreSession();
    isOffline.value = false;
  } catch (error) {
    if (error instanceof Unreachable) isOffline.value = true;
    return;
  }
  isShutOut.value = who.value === null && owner.value !== null;
  if (who.value) await becomeOwner(who.value);
}

/** Somebody signed in. Copies of another person's season do not stay. */
export async function becomeOwner(signedIn: SignedIn): Promise<void> {
  await keepCopy('signed-in', signedIn);
  owner.value = signedIn;
  isShutOut.value = false;
}
