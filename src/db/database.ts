import { PrismaPg } from '@prisma/adapter-pg';
import pg from 'pg';
import type { Actor } from '../domain/identity.ts';
import { PrismaClient } from './generated/client.ts';
import { currentConnection, TenantPool } from './tenant-pool.ts';
import { wireTypes } from './types.ts';

/** Codes of a transaction that lost a race and may be run again whole: serialization, deadlock. */
const RETRYABLE = new Set(['40001', '40P01']);
const MAX_ATTEMPTS = 5;

export type TenantPrisma = Omit<
  PrismaClient,
  '$transaction' | '$connect' | '$disconnect' | '$on' | '$extends'
>;

/** An open transaction of one tenant: what use-cases and repositories work with. */
export interface Tx {
  readonly actor: Actor;
  readonly organisationId: string;
  readonly prisma: TenantPrisma;
  /** Runs one SQL statement with `$1`-style values; types as in `wireTypes`. */
  sql<Row>(text: string, values?: readonly unknown[]): Promise<Row[]>;
  /** Writes the audit entry of what this transaction does. */
  audit(action: string, noun: string, recordId: string, detail?: object): Promise<void>;
}

export interface TransactionOptions {
  readonly serializable?: boolean;
  /** Milliseconds a statement may take; the database ends it after that. */
  readonly statementTimeoutMs?: number;
}

export interface Database {
  /** A pool for statements without a tenant: sign-in, readiness, the queue's own upkeep. */
  readonly pool: pg.Pool;
  withTenant<T>(
    actor: Actor,
    work: (tx: Tx) => Promise<T>,
    options?: TransactionOptions,
  ): Promise<T>;
  /** Committed or failed transactions that were run again, since the start. */
  readonly retryCount: () => number;
  close(): Promise<void>;
}

export interface DatabaseOptions {
  readonly url: string;
  readonly maxConnections?: number;
  readonly applicationName?: string;
}

const AUDIT_SQL = `
  insert into audit_entry (organisation_id, id, person_id, request_id, action, noun, record_id, detail)
  values ($1, gen_random_uuid(), $2, $3, $4, $5, $6, $7)`;

/** Opens the pools; nothing connects until the first query. */
export function openDatabase(options: DatabaseOptions): Database {
  const pool = new pg.Pool({
    connectionString: options.url,
    max: options.maxConnections ?? 10,
    connectionTimeoutMillis: 2_000,
    application_name: options.applicationName ?? 'hoopwright',
    keepAlive: true,
    types: wireTypes,
  });
  pool.on('error', () => undefined);
  // A connection may report its end at any moment, also after it was given back; whoever uses it is
  // told by the failing query.
  pool.on('connect', (client) => client.on('error', () => undefined));
  const prisma = new PrismaClient({
    adapter: new PrismaPg(new TenantPool({ connectionString: options.url, max: 1 })),
  }).$extends({
    query: {
      $allModels: {
        // Prisma joins findUnique calls of one tick into one query, across requests and so across tenants.
        findUnique: refuseBatched,
        findUniqueOrThrow: refuseBatched,
      },
    },
  }) as unknown as TenantPrisma;
  let retries = 0;

  async function attempt<T>(
    actor: Actor,
    work: (tx: Tx) => Promise<T>,
    { serializable, statementTimeoutMs }: TransactionOptions,
  ): Promise<T> {
    const client = await pool.connect();
    let failure: Error | undefined;
    try {
      await client.query(
        `begin${serializable ? ' isolation level serializable' : ''};
         select set_config('app.organisation_id', ${pg.escapeLiteral(actor.organisationId)}, true),
           set_config('app.request_id', ${pg.escapeLiteral(actor.requestId ?? '')}, true),
           set_config('statement_timeout', '${Math.trunc(statementTimeoutMs ?? 15_000)}', true)`,
      );
      const result = await currentConnection.run(client, () => work(transaction(client, actor)));
      await client.query('commit');
      return result;
    } catch (error) {
      try {
        await client.query('rollback');
      } catch (rollbackError) {
        failure = rollbackError as Error;
      }
      throw error;
    } finally {
      client.release(failure);
    }
  }

  function transaction(client: pg.PoolClient, actor: Actor): Tx {
    const sql = async <Row>(text: string, values: readonly unknown[] = []) =>
      (await client.query(text, values as unknown[])).rows as Row[];
    return {
      actor,
      organisationId: actor.organisationId,
      prisma,
      sql,
      audit: async (action, noun, recordId, detail = {}) => {
        await sql(AUDIT_SQL, [
          actor.organisationId,
          actor.personId,
          actor.requestId,
          action,
          noun,
          recordId,
          JSON.stringify(detail),
        ]);
      },
    };
  }

  return {
    pool,
    retryCount: () => retries,
    async withTenant(actor, work, transactionOptions = {}) {
      for (let tried = 1; ; tried++) {
        try {
          return await attempt(actor, work, transactionOptions);
        } catch (error) {
          if (tried >= MAX_ATTEMPTS || !isRetryable(error)) throw error;
          retries++;
          await new Promise((resolve) => setTimeout(resolve, Math.random() * 20 * 2 ** tried));
        }
      }
    },
    async close() {
      await (prisma as unknown as PrismaClient).$disconnect();
      await pool.end();
    },
  };
}

function refuseBatched(): never {
  throw new Error('Use findFirst: findUnique may be joined with the query of another tenant');
}

function isRetryable(error: unknown): boolean {
  for (let cause = error; cause instanceof Error; cause = cause.cause) {
    const code = (cause as { code?: unknown }).code;
    if (typeof code === 'string' && RETRYABLE.has(code)) return true;
  }
  return false;
}
