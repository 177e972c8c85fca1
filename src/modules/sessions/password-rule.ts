import { invalidContent } from '../../domain/errors.ts';

/**
 * Refuses a password that is the e-mail address, or its part before the @. Length is checked where
 * the request is read.
 */
export function refuseWeakPassword(password: string, email: string, pointer: string): void {
  const folded = password.toLowerCase();
  if (folded === email || folded === email.split('@')[0]) {
    throw invalidContent([
      { pointer, code: 'password.is-email', message: 'must not be the e-mail address' },
    ]);
  }
}
