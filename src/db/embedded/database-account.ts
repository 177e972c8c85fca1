import { readFileSync, type Stats } from 'node:fs';
import { stat } from 'node:fs/promises';
import { dirname } from 'node:path';
import { DatabaseUnavailable } from './database-unavailable.ts';

/**
 * The operating-system account that PostgreSQL runs as. `ids` is absent when that is this process's
 * own account.
 */
export type DatabaseAccount = { name: string; ids?: { uid: number; gid: number } };

/**
 * PostgreSQL refuses to run as root, and `initdb` needs an account with a name. A dedicated account
 * is taken when an administrator made one; otherwise `nobody`, which every Unix has and which owns
 * nothing. Not `postgres`: that account may own another cluster on this machine.
 */
const PREFERRED_ACCOUNTS = ['hoopwright', 'nobody', 'daemon'];

/** The account for a new cluster: our own, or an unprivileged one when we are root. */
export function accountForNewCluster(passwd = readPasswd()): DatabaseAccount {
  if (process.getuid?.() !== 0) return ownAccount();
  for (const wanted of PREFERRED_ACCOUNTS) {
    const found = accountsIn(passwd).find((account) => account.name === wanted);
    if (found && found.uid !== 0) {
      return { name: wanted, ids: { uid: found.uid, gid: found.gid } };
    }
  }
  throw new DatabaseUnavailable(
    'PostgreSQL must not run as root and this system has no account named hoopwright, nobody or ' +
      'daemon: create one, run the service as an ordinary user, or set DATABASE_URL.',
  );
}

/** The account that owns an existing cluster, whoever that is. */
export function accountForExistingCluster(folder: string, owner: Stats): DatabaseAccount {
  const ownUid = process.getuid?.();
  if (ownUid === undefined || owner.uid === ownUid) {
    if (ownUid !== 0) return ownAccount();
    const name = accountForNewCluster().name;
    throw new DatabaseUnavailable(
      `The database files in ${folder} belong to root, and PostgreSQL must not run as root: ` +
        `give them to another account (chown -R ${name} ${folder}) and start again.`,
    );
  }
  const name = nameOf(owner.uid);
  if (ownUid !== 0) {
    throw new DatabaseUnavailable(
      `The database files in ${folder} belong to ${name}: start the service as root or as that ` +
        'account, or set DATA_DIR to another folder.',
    );
  }
  return { name, ids: { uid: owner.uid, gid: owner.gid } };
}

/** True when the account can pass through every folder of the path (permission bits only). */
export async function canEnter(account: DatabaseAccount, folder: string): Promise<boolean> {
  if (!account.ids) return true;
  for (let at = folder; ; at = dirname(at)) {
    if (!maySearch(account.ids, await stat(at))) return false;
    if (at === dirname(at)) return true;
  }
}

function maySearch(ids: { uid: number; gid: number }, folder: Stats): boolean {
  if (folder.uid === ids.uid) return (folder.mode & 0o100) !== 0;
  if (folder.gid === ids.gid) return (folder.mode & 0o010) !== 0;
  return (folder.mode & 0o001) !== 0;
}

function ownAccount(): DatabaseAccount {
  const uid = process.getuid?.();
  return { name: uid === undefined ? 'this user' : nameOf(uid) };
}

function nameOf(uid: number): string {
  return accountsIn(readPasswd()).find((account) => account.uid === uid)?.name ?? `user ${uid}`;
}

function accountsIn(passwd: string): { name: string; uid: number; gid: number }[] {
  return passwd.split('\n').flatMap((line) => {
    const [name, , uid, gid] = line.split(':');
    if (!name || name.startsWith('#') || uid === undefined || gid === undefined) return [];
    return [{ name, uid: Number(uid), gid: Number(gid) }];
  });
}

function readPasswd(): string {
  try {
    return readFileSync('/etc/passwd', 'utf8');
  } catch {
    return '';
  }
}
