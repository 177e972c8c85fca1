import { DomainError } from '../../domain/errors.ts';
import type { PasswordHasher } from './password-hash.ts';
import type { SignInFailures } from './sign-in-failures.ts';

export interface Account {
  readonly id: string;
  readonly email: string;
  readonly passwordHash: string | null;
}

export interface PasswordAttempt {
  readonly email: string;
  readonly password: string;
  /** Network address that the attempt comes from. */
  readonly address: string;
}

export type CheckPassword = (attempt: PasswordAttempt) => Promise<Account>;

/**
 * Tells whose e-mail and password these are. An unknown e-mail, an account without password and a
 * wrong password take the same time and give the same answer; failures slow down what follows.
 *
 * The wait is read inside the turn, so that guesses sent all at once gain no more than the few
 * that are hashed at the same time.
 *
 * @throws {DomainError} `wrong-credentials`, `too-many-requests` with the seconds to wait
 */
export function createPasswordCheck(
  findAccount: (email: string) => Promise<Account | null>,
  hasher: PasswordHasher,
  failures: SignInFailures,
): CheckPassword {
  return ({ email, password, address }) =>
    hasher.inTurn(async () => {
      const waitS = await failures.waitS(email, address);
      if (waitS > 0) {
        throw new DomainError('too-many-requests', {
          detail: `Too many failed attempts; wait ${waitS} s.`,
          retryAfterS: waitS,
        });
      }
      const account = await findAccount(email);
      const isRight = await hasher.isRight(account?.passwordHash ?? null, password);
      if (!account || !isRight) {
        await failures.record(email, address);
        throw new DomainError('wrong-credentials');
      }
      await failures.forget(email);
      return account;
    });
}
