import { fieldDatabase } from './field-database.ts';

/** A copy of what the service said, kept on the phone. */
export async function copy<Value>(key: string): Promise<Value | undefined> {
  return (await (await fieldDatabase()).get('copies', key)) as Value | undefined;
}

export async function keepCopy(key: string, value: unknown): Promise<void> {
  await (await fieldDatabase()).put('copies', value, key);
}

/** Drops the copies whose keys begin so, but for those that stay. */
export async function dropCopies(
  prefix: string,
  staying: ReadonlySet<string> = new Set(),
): Promise<void> {
  const database = await fieldDatabase();
  for (const key of await database.getAllKeys('copies')) {
    if (key.startsWith(prefix) && !staying.has(key)) await database.delete('copies', key);
  }
}
