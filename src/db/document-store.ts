import { DomainError, notFound } from '../domain/errors.ts';
import type { TenantPrisma, Tx } from './database.ts';

/** The part of a Prisma delegate that records and documents need. */
export interface DocumentDelegate<Row> {
  findMany(args: { where: object; orderBy: object[]; take: number }): PromiseLike<Row[]>;
  findFirst(args: { where: object }): PromiseLike<Row | null>;
  create(args: { data: object }): PromiseLike<Row>;
  updateManyAndReturn(args: { where: object; data: object }): PromiseLike<Row[]>;
}

interface RecordRow {
  readonly id: string;
}

interface DocumentRow extends RecordRow {
  readonly version: number;
}

export interface RecordMapping<Row extends RecordRow, Wire, New> {
  readonly noun: string;
  /** Column that lists are sorted by; `id` follows it, so that the order is total. */
  readonly sortKey: keyof Row & string;
  delegate(prisma: TenantPrisma): unknown;
  toWire(row: Row): Wire;
  toColumns(input: New): object;
  /** The condition that filters of the list mean; columns equal to them when left out. */
  toCondition?(filter: Readonly<Record<string, unknown>>): object;
}

export type DocumentMapping<Row extends DocumentRow, Wire, New, Patch> = RecordMapping<
  Row,
  Wire,
  New | Patch
>;

export interface ListPage {
  readonly limit: number;
  readonly after: readonly string[] | null;
  readonly filter: object;
}

export interface Listed<Wire> {
  readonly items: Wire[];
  readonly lastKey: readonly string[] | null;
}

/** Records that are made and read, and never change. */
export interface RecordStore<Wire, New> {
  readonly noun: string;
  list(tx: Tx, page: ListPage): Promise<Listed<Wire>>;
  get(tx: Tx, id: string): Promise<Wire>;
  create(tx: Tx, id: string, input: New): Promise<Wire>;
}

export interface DocumentStore<Wire, New, Patch> extends RecordStore<Wire, New> {
  /** Writes the patch when the version is still the one the caller read. */
  update(tx: Tx, id: string, version: number, patch: Patch): Promise<Wire>;
}

/** Reads and writes of one append-only record: listed by a keyset, made once. */
export function recordStore<Row extends RecordRow, Wire, New>(
  mapping: RecordMapping<Row, Wire, New>,
): RecordStore<Wire, New> {
  const { noun, sortKey, toWire, toColumns } = mapping;
  const rows = (tx: Tx) => mapping.delegate(tx.prisma) as DocumentDelegate<Row>;
  return {
    noun,
    async list(tx, { limit, after, filter }) {
      const [key, id] = after ?? [];
      const beyond = after
        ? { OR: [{ [sortKey]: { gt: key } }, { [sortKey]: key, id: { gt: id } }] }
        : {};
      const condition = mapping.toCondition?.({ ...filter }) ?? filter;
      const found = await rows(tx).findMany({
        where: { organisationId: tx.organisationId, AND: [condition, beyond] },
        orderBy: [{ [sortKey]: 'asc' }, { id: 'asc' }],
        take: limit + 1,
      });
      const shown = found.slice(0, limit);
      const last = shown.at(-1);
      const hasMore = found.length > limit && last;
      return {
        items: shown.map(toWire),
        lastKey: hasMore ? [keyText(last[sortKey]), last.id] : null,
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
  };
}

/** Dates of a key in the form that the database takes back. */
const keyText = (value: unknown) => (value instanceof Date ? value.toISOString() : String(value));

/**
 * Reads and writes of one editable document: listed by a keyset, made once, changed only against the
 * version that was read.
 */
export function documentStore<Row extends DocumentRow, Wire, New, Patch>(
  mapping: DocumentMapping<Row, Wire, New, Patch>,
): DocumentStore<Wire, New, Patch> {
  const { noun, toWire, toColumns } = mapping;
  const rows = (tx: Tx) => mapping.delegate(tx.prisma) as DocumentDelegate<Row>;
  return {
    ...recordStore<Row, Wire, New | Patch>(mapping),
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

/** A store whose documents are completed with what other tables hold, one page at a time. */
export function withRelated<Bare, Wire, New, Patch>(
  store: DocumentStore<Bare, New, Patch>,
  complete: (tx: Tx, items: readonly Bare[]) => Promise<Wire[]>,
): DocumentStore<Wire, New, Patch> {
  const completed = async (tx: Tx, item: Bare) => {
    const [whole] = await complete(tx, [item]);
    if (!whole) throw new Error(`A ${store.noun} was lost while it was completed`);
    return whole;
  };
  return {
    noun: store.noun,
    async list(tx, page) {
      const { items, lastKey } = await store.list(tx, page);
      return { items: await complete(tx, items), lastKey };
    },
    get: async (tx, id) => completed(tx, await store.get(tx, id)),
    create: async (tx, id, input) => completed(tx, await store.create(tx, id, input)),
    update: async (tx, id, version, patch) =>
      completed(tx, await store.update(tx, id, version, patch)),
  };
}
