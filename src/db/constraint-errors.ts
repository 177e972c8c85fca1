import { DomainError } from '../domain/errors.ts';

export interface DatabaseFailure {
  readonly sqlState: string;
  readonly constraint: string | null;
}

interface Carrier {
  code?: unknown;
  constraint?: unknown;
  cause?: unknown;
  meta?: { driverAdapterError?: { cause?: AdapterCause } };
}

interface AdapterCause {
  originalCode?: unknown;
  constraint?: { index?: unknown; fields?: unknown } | string;
  originalMessage?: unknown;
}

const SQL_STATE = /^[0-9A-Z]{5}$/;

/** The SQLSTATE and constraint behind an error of `pg` or of Prisma, or null when it is neither. */
export function databaseFailure(error: unknown): DatabaseFailure | null {
  let current: unknown = error;
  for (let depth = 0; depth < 5 && current instanceof Error; depth++) {
    const carrier = current as Carrier;
    const adapter = carrier.meta?.driverAdapterError?.cause;
    if (adapter && typeof adapter.originalCode === 'string') {
      return { sqlState: adapter.originalCode, constraint: adapterConstraint(adapter) };
    }
    if (typeof carrier.code === 'string' && SQL_STATE.test(carrier.code) && 'severity' in carrier) {
      return {
        sqlState: carrier.code,
        constraint: typeof carrier.constraint === 'string' ? carrier.constraint : null,
      };
    }
    current = carrier.cause;
  }
  return null;
}

function adapterConstraint({ constraint, originalMessage }: AdapterCause): string | null {
  if (typeof constraint === 'string') return constraint;
  if (typeof constraint?.index === 'string') return constraint.index;
  const quoted = /constraint "([^"]+)"/.exec(String(originalMessage ?? ''));
  return quoted?.[1] ?? null;
}

const BY_STATE: Readonly<
  Record<string, (failure: DatabaseFailure, cause: unknown) => DomainError>
> = {
  '23505': ({ constraint }, cause) =>
    new DomainError('conflict', {
      detail: conflictDetail(constraint),
      extra: { constraint },
      cause,
    }),
  '23503': ({ constraint }, cause) =>
    new DomainError('invalid-content', {
      errors: [
        {
          pointer: `/${foreignField(constraint)}`,
          code: 'reference.unknown',
          message: 'names a record that does not exist',
        },
      ],
      cause,
    }),
  '23514': ({ constraint }, cause) =>
    new DomainError('rule-broken', {
      rule: (constraint ?? 'check').replaceAll('_', '-'),
      detail: `The record would break the rule ${(constraint ?? '').replaceAll('_', ' ')}.`,
      cause,
    }),
  '22003': (_, cause) =>
    new DomainError('invalid-content', { detail: 'A number is too large for its column.', cause }),
  '40001': (_, cause) =>
    new DomainError('unavailable', {
      detail: 'Too many at once; try again.',
      retryAfterS: 1,
      cause,
    }),
  '40P01': (_, cause) =>
    new DomainError('unavailable', {
      detail: 'Too many at once; try again.',
      retryAfterS: 1,
      cause,
    }),
  '55P03': (_, cause) => new DomainError('in-progress', { retryAfterS: 2, cause }),
  '57014': (_, cause) =>
    new DomainError('unavailable', {
      detail: 'The question took too long.',
      retryAfterS: 5,
      cause,
    }),
  '53100': (_, cause) => new DomainError('no-space', { cause }),
};

/** Classes of SQLSTATE in which the server is away or refuses connections. */
const AWAY = /^(08|53|57P)/;

/** The refusal that a database error means to a caller, or null when it is a fault of ours. */
export function refusalOf(error: unknown): DomainError | null {
  const failure = databaseFailure(error);
  if (failure) {
    const known = BY_STATE[failure.sqlState];
    if (known) return known(failure, error);
    if (AWAY.test(failure.sqlState)) return unavailable(error);
    return null;
  }
  return isConnectionLoss(error) ? unavailable(error) : null;
}

const unavailable = (cause: unknown) =>
  new DomainError('unavailable', {
    detail: 'The database does not answer; nothing was written.',
    retryAfterS: 2,
    cause,
  });

const LOST_CONNECTION =
  /Connection terminated|timeout exceeded when trying to connect|Client has encountered a connection error|not queryable|Can't reach database/;

function isConnectionLoss(error: unknown): boolean {
  if (!(error instanceof Error)) return false;
  const code = (error as { code?: unknown }).code;
  return (
    code === 'ECONNREFUSED' ||
    code === 'ECONNRESET' ||
    code === 'EPIPE' ||
    LOST_CONNECTION.test(error.message)
  );
}

function conflictDetail(constraint: string | null): string {
  if (constraint?.endsWith('_pkey')) return 'A record with this id exists already.';
  const match = /^(.+)_(\w+)_key$/.exec(constraint ?? '');
  return match
    ? `There is already a ${match[1]?.replaceAll('_', ' ')} with this ${match[2]}.`
    : 'The record clashes with another.';
}

const FOREIGN_COLUMN =
  /_((?:design_revision|tank_kind|rain_station|rain_series|delivery_village|home_village|order_line|order_plan|budget_line|counterpart_store|assigned_to|[a-z]+)_id)_fkey$/;

function foreignField(constraint: string | null): string {
  const column = FOREIGN_COLUMN.exec(constraint ?? '')?.[1] ?? constraint ?? '';
  return column.replace(/_(\w)/g, (_, letter: string) => letter.toUpperCase());
}
