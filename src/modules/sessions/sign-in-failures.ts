import { createHash } from 'node:crypto';
import { isIPv6 } from 'node:net';
import type { Pool } from 'pg';

interface Guard {
  readonly key: string;
  /** Failures after which the next attempt has to wait. */
  readonly allowedCount: number;
  /** Seconds without a failure after which the count starts again. */
  readonly forgetAfterS: number;
}

const FIRST_WAIT_S = 15;
const LONGEST_WAIT_S = 15 * 60;
const HOUR_S = 60 * 60;

/** An address may stand for a whole office, so that it may fail more often, and is forgiven sooner. */
const ACCOUNT = { allowedCount: 5, forgetAfterS: 24 * HOUR_S };
const ADDRESS = { allowedCount: 50, forgetAfterS: HOUR_S };

const WAIT_SQL = `
  select coalesce(max(ceil(extract(epoch from blocked_until - now()))), 0)::integer as wait_s
  from sign_in_failure where key = any($1) and blocked_until > now()`;

const FAIL_SQL = `
  insert into sign_in_failure (key, failure_count, last_failed_at) values ($1, 1, now())
  on conflict (key) do update set (failure_count, last_failed_at, blocked_until) = (
    select n, now(), case when n >= $2 then now() + make_interval(
      secs => least($4::double precision * 2 ^ least(n - $2, 20), $5)) end
    from (select case
      when sign_in_failure.last_failed_at < now() - make_interval(secs => $3) then 1
      else sign_in_failure.failure_count + 1 end as n) counted)`;

const FORGET_SQL = `
  delete from sign_in_failure where key = $1 or last_failed_at < now() - interval '2 days'`;

export interface SignInFailures {
  /** Seconds that this account or this address has to wait; 0 when it may try. */
  waitS(email: string, address: string): Promise<number>;
  record(email: string, address: string): Promise<void>;
  /** After a success: the account's count starts again, the address's does not. */
  forget(email: string): Promise<void>;
}

/**
 * Failed sign-ins by account and by network address, counted in the database so that every process
 * sees them. From the fifth failure of an account on the wait is 15 s and doubles, up to 15 minutes.
 */
export const signInFailures = (pool: Pool): SignInFailures => ({
  async waitS(email, address) {
    const keys = guards(email, address).map(({ key }) => key);
    const { rows } = await pool.query<{ wait_s: number }>(WAIT_SQL, [keys]);
    return rows[0]?.wait_s ?? 0;
  },
  async record(email, address) {
    for (const { key, allowedCount, forgetAfterS } of guards(email, address)) {
      await pool.query(FAIL_SQL, [key, allowedCount, forgetAfterS, FIRST_WAIT_S, LONGEST_WAIT_S]);
    }
  },
  async forget(email) {
    await pool.query(FORGET_SQL, [accountKey(email)]);
  },
});

const guards = (email: string, address: string): Guard[] => [
  { key: accountKey(email), ...ACCOUNT },
  { key: `address ${network(address)}`, ...ADDRESS },
];

/** Hashed, because people type passwords into the wrong field. */
const accountKey = (email: string) =>
  `account ${createHash('sha256').update(email).digest('base64url')}`;

/** An IPv6 customer holds a whole /64, so that is what counts. */
export function network(address: string): string {
  const mapped = /^::ffff:(\d+\.\d+\.\d+\.\d+)$/i.exec(address)?.[1];
  if (mapped) return mapped;
  if (!isIPv6(address)) return address;
  const [head = '', tail] = address.toLowerCase().split('::');
  const front = head === '' ? [] : head.split(':');
  const back = tail === undefined || tail === '' ? [] : tail.split(':');
  const zeros = Array.from({ length: 8 - front.length - back.length }, () => '0');
  const groups = tail === undefined ? front : [...front, ...zeros, ...back];
  return `${groups
    .slice(0, 4)
    .map((group) => Number.parseInt(group, 16).toString(16))
    .join(':')}::/64`;
}
