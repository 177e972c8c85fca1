import { randomBytes } from 'node:crypto';
import type { OpenService } from '../boot.ts';
import type { Config } from '../config.ts';
import { systemClock } from '../domain/clock.ts';
import { buildDemoSeason } from './build-season.ts';
import { emailOf } from './demo-people.ts';
import { DEMO_DOMAIN, PEOPLE } from './scenario.ts';

export interface Demo {
  /** Whether this service shows the demonstration season. */
  readonly isLoaded: boolean;
  /** What to print after `ready`: how to sign in, when that is news. */
  readonly signInLines: readonly string[];
}

const STATE_SQL = `
  select exists (select from account where email = $1) as is_loaded,
    exists (select from account where email not like '%@${DEMO_DOMAIN}') as has_people`;

/** What a loading left that was cut off: its accounts give their addresses free and open nothing. */
const CLEAR_INTERRUPTED_SQL = `
  update account set email = id || '@interrupted.invalid', disabled_at = now()
  where email like '%@${DEMO_DOMAIN}'`;

/**
 * Loads the demonstration season into a new, empty database unless `DEMO=0`. The administrator gets
 * the demo's address last, so a second start finds the season whole, and a loading that was cut off
 * is begun afresh.
 */
export async function loadDemoIfNew(
  service: OpenService,
  config: Pick<Config, 'loadsDemo' | 'demoPassword'>,
  say: (line: string) => void,
): Promise<Demo> {
  const { pool } = service.db;
  const { rows } = await pool.query<{ is_loaded: boolean; has_people: boolean }>(STATE_SQL, [
    emailOf('admin'),
  ]);
  const state = rows[0] ?? { is_loaded: false, has_people: true };
  if (state.is_loaded) return { isLoaded: true, signInLines: [] };
  if (!config.loadsDemo || state.has_people) return { isLoaded: false, signInLines: [] };
  await pool.query(CLEAR_INTERRUPTED_SQL);
  const password = config.demoPassword ?? randomBytes(12).toString('base64url');
  say('Loading the demonstration season: its places, people, firms and prices are invented.');
  await buildDemoSeason(service.db, systemClock, password, say);
  const mailboxes = PEOPLE.map(({ mailbox }) => mailbox).join(', ');
  const shown = config.demoPassword === undefined ? password : 'the one of DEMO_PASSWORD';
  return {
    isLoaded: true,
    signInLines: [
      `demo sign-in: ${emailOf('coordinator')}, password ${shown}`,
      `demo people: ${mailboxes} @demo.example, same password; the password is not shown again`,
    ],
  };
}
