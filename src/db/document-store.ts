import { DomainError, notFound } from '../domain/errors.ts';
import type { TenantPrisma, Tx } from './database.ts';

/** The part of a Prisma delegate that documents need. */
export interface DocumentDelegate<Row> {
  findMany(args: { where: object; orderBy: object[]; take: number }): PromiseLike<Row[]>;
  findFirst(args: { where: object }): PromiseLike<Row | null>;
  create(args: { data: object }): PromiseLike<Row>;
  updateManyAndReturn(args: { where: object; data: object }): PromiseLike<Row[]>;
}

interface DocumentRow {
  readonly id: string;
  readonly version: number;
}

export interface DocumentMapping<Row extends DocumentRow, Wire, New, Patch> {
  readonly noun: string;
  /** Column that lists are sorted by; `id` follows it, so that the order is total. */
  readonly sortKey: keyof Row & string;
  delegate(prisma: TenantPrisma): unknown;
  toWire(row: Row): Wire;
  toColumns(input: New | Patch): object;
}

export interface DocumentStore<Wire, New, Patch> {
  readonly noun: string;
  list(
    tx: Tx,
    page: { limit: number; after: readonly string[] | null; filter: object },
  ): Promise<{
    items: Wire[];
    lastKey: readonly string[] | null;
  }>;
  get(tx: Tx, id: string): Promise<Wire>;
  create(tx: Tx, id: string, input: New): Promise<Wire>;
  /** Writes the patch when the version is still the one the caller read. */
  update(tx: Tx, id: string, version: number, patch: Patch): Promise<Wire>;
}

/**
 * Reads and writes of one editable document: listed by a keyset, made once, changed only against the
 * version that was read.
 */
export function documentStore<Row extends DocumentRow, Wire, New, Patch>(
  mapping: DocumentMapping<Row, Wire, New, Patch>,
): DocumentStore<Wire, New, Patch> {
  const { noun, sortKey, toWire, toColumns } = mapping;
  const rows = (tx: Tx) => mapping.delegate(tx.prisma) as DocumentDelegate<Row>;
  return {
    noun,
    async list(tx, { limit, after, filter }) {
      const [key, id] = after ?? [];
      const beyond = after
        ? { OR: [{ [sortKey]: { gt: key } }, { [sortKey]: key, id: { gt: id } }] }
        : {};
      const found = await rows(tx).findMany({
        where: { organisationId: tx.organisationId, ...filter, ...beyond },
        orderBy: [{ [sortKey]: 'asc' }, { id: 'asc' }],
        take: limit + 1,
      });
      const shown = found.slice(0, limit);
      const last = shown.at(-1);
      const hasMore = found.length > limit && last;
      return {
        items: shown.map(toWire),
        lastKey: hasMore ? [String(last[sortKey]), last.id] : null,
      };
    },
    async get(tx, id) {
      const row = await rows(tx).findFirst({ where: { organisationId: tx.organisationId, id } });
      if (!row) throw notFound(noun, id);
      return toWire(row);
    },
    async create(tx, id, input) {
      return toWire(
        await rows(tx).create({
          data: { organisationId: tx.organisationId, id, ...toColumns(input) },
        }),
      );
    },
    async update(tx, id, version, patch) {
      const [row] = await rows(tx).updateManyAndReturn({
        where: { organisationId: tx.organisationId, id, version },
        data: { ...toColumns(patch), version: { increment: 1 }, updatedAt: new Date() },
      });
      if (row) return toWire(row);
      const current = await rows(tx).findFirst({
        where: { organisationId: tx.organisationId, id },
      });
      if (!current) throw notFound(noun, id);
      throw new DomainError('stale-version', {
        detail: `You changed version ${version}; the ${noun} is at version ${current.version} now.`,
        extra: { currentEtag: `"v${current.version}"` },
      });
    },
  };
}
