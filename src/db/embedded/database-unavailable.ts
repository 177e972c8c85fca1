/**
 * The embedded database cannot be used; the message is one plain sentence for the person who runs
 * the service and says what to do next.
 */
export class DatabaseUnavailable extends Error {
  override readonly name = 'DatabaseUnavailable';
}

const diskFull = /ENOSPC|EDQUOT|No space left on device|Disk quota exceeded/i;
const notWritable = /EACCES|EPERM|EROFS|Permission denied|Read-only file system/i;
const notAFolder = /ENOTDIR|Not a directory/i;

/** Turns any failure met while working in `folder` into one plain sentence. */
export function explainFailure(cause: unknown, folder: string): DatabaseUnavailable {
  if (cause instanceof DatabaseUnavailable) return cause;
  const text = cause instanceof Error ? cause.message : String(cause);
  return new DatabaseUnavailable(sentenceFor(text, folder), { cause });
}

function sentenceFor(text: string, folder: string): string {
  if (diskFull.test(text)) {
    return `The disk that holds ${folder} is full: free some space and start again.`;
  }
  if (notWritable.test(text)) {
    return (
      `The data folder ${folder} cannot be written by ${currentUser()}: ` +
      'give that user access to it, or set DATA_DIR to another folder.'
    );
  }
  if (notAFolder.test(text)) {
    return `The data folder ${folder} is not a folder: set DATA_DIR to one.`;
  }
  return `The embedded database in ${folder} could not be used: ${asClause(text)}.`;
}

/** The user this process runs as, in words. */
export function currentUser(): string {
  const uid = process.getuid?.();
  return uid === 0 ? 'root' : uid === undefined ? 'this user' : `user ${uid}`;
}

/** One line without a final stop, fit for the end of a sentence. */
export function asClause(text: string): string {
  return text.replace(/\s+/g, ' ').trim().replace(/\.+$/, '');
}
