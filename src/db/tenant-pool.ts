import { AsyncLocalStorage } from 'node:async_hooks';
import pg from 'pg';

/** The connection of the transaction that the current asynchronous call runs in. */
export const currentConnection = new AsyncLocalStorage<pg.PoolClient>();

let savepointNumber = 0;

/**
 * A pool for Prisma that hands out nothing but the connection of the running tenant transaction, so
 * that Prisma, plain SQL, the queue and the audit share one transaction, and a query outside of one
 * fails instead of running without a tenant. A transaction that Prisma opens inside becomes a savepoint.
 */
export class TenantPool extends pg.Pool {
  override query(...args: unknown[]): never {
    return (currentClient().query as (...queryArgs: unknown[]) => unknown)(...args) as never;
  }

  override connect(): Promise<pg.PoolClient>;
  override connect(callback: (...args: never[]) => void): void;
  override connect(callback?: unknown): Promise<pg.PoolClient> | undefined {
    if (callback) throw new Error('The tenant pool answers promises only');
    return Promise.resolve(savepointClient(currentClient()));
  }
}

function currentClient(): pg.PoolClient {
  const client = currentConnection.getStore();
  if (!client) throw new Error('A query outside of a tenant transaction');
  return client;
}

function savepointClient(client: pg.PoolClient): pg.PoolClient {
  const name = `inner_${++savepointNumber}`;
  const translated: Readonly<Record<string, string>> = {
    BEGIN: `savepoint ${name}`,
    COMMIT: `release savepoint ${name}`,
    ROLLBACK: `rollback to savepoint ${name}`,
  };
  return new Proxy(client, {
    get(target, property) {
      if (property === 'release') return () => undefined;
      if (property === 'query') {
        return (query: string | { text: string }, ...rest: unknown[]) => {
          const text = typeof query === 'string' ? query : query.text;
          const replaced = translated[text];
          const send = target.query.bind(target) as (...args: unknown[]) => unknown;
          return replaced ? send(replaced) : send(query, ...rest);
        };
      }
      const value = Reflect.get(target, property, target) as unknown;
      return typeof value === 'function' ? value.bind(target) : value;
    },
  });
}
