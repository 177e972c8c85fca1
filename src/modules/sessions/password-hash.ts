import { randomBytes } from 'node:crypto';
import { hash, verify } from '@node-rs/argon2';
import { DomainError } from '../../domain/errors.ts';

/** Argon2id, 19 MiB, two passes, one lane: the least that the OWASP cheat sheet on password storage asks for. */
const COST = { memoryCost: 19_456, timeCost: 2, parallelism: 1 } as const;

/** Hashes worked on at once in this process; each takes a core for tens of milliseconds. */
const HASHES_AT_ONCE = 2;
/** Sign-ins that may wait for their turn before the service says that it is busy. */
const MAX_WAITING = 100;

export const hashPassword = (password: string): Promise<string> => hash(password, COST);

export interface PasswordHasher {
  /** Runs work that hashes when it is its turn. Throws `unavailable` when too many wait. */
  inTurn<T>(work: () => Promise<T>): Promise<T>;
  /** Takes as long for a missing hash as for one that does not fit. */
  isRight(passwordHash: string | null, password: string): Promise<boolean>;
}

/** Judges passwords, a few at a time; `judge` is Argon2 unless a test counts what is asked of it. */
export function createPasswordHasher(judge: typeof verify = verify): PasswordHasher {
  const hashOfNobody = hashPassword(randomBytes(32).toString('base64url'));
  const waiting: (() => void)[] = [];
  let running = 0;

  async function takeTurn() {
    if (running < HASHES_AT_ONCE) {
      running++;
      return;
    }
    if (waiting.length >= MAX_WAITING) {
      throw new DomainError('unavailable', {
        detail: 'Too many people are signing in at once.',
        retryAfterS: 3,
      });
    }
    await new Promise<void>((resolve) => waiting.push(resolve));
  }

  function passTurn() {
    const next = waiting.shift();
    if (next) next();
    else running--;
  }

  return {
    async inTurn(work) {
      await takeTurn();
      try {
        return await work();
      } finally {
        passTurn();
      }
    },
    async isRight(passwordHash, password) {
      const isSame = await judge(passwordHash ?? (await hashOfNobody), password);
      return isSame && passwordHash !== null;
    },
  };
}
