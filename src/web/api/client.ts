import type { Lists, Page, Records } from './addresses.ts';
import { type Answer, type Query, type RequestOptions, request } from './request.ts';

/** The most that one page of a list holds. */
const PAGE_SIZE = 200;

export interface ReadOptions {
  /** Stands in for `:id` of the address. */
  readonly id?: string | undefined;
  readonly query?: Query | undefined;
  readonly signal?: AbortSignal | undefined;
}

const pathOf = (address: string, id: string | undefined) =>
  address.replace(':id', () => encodeURIComponent(id ?? ''));

/** Reads a record with its version. */
export const readVersion = <Address extends keyof Records>(
  address: Address,
  { id, ...options }: ReadOptions = {},
): Promise<Answer<Records[Address]>> => request('GET', pathOf(address, id), options);

/** Reads a record. */
export const read = async <Address extends keyof Records>(
  address: Address,
  options: ReadOptions = {},
): Promise<Records[Address]> => (await readVersion(address, options)).body;

/** Reads one page of a list. */
export async function readPage<Address extends keyof Lists>(
  address: Address,
  { id, ...options }: ReadOptions = {},
): Promise<Page<Lists[Address]>> {
  return (await request<Page<Lists[Address]>>('GET', pathOf(address, id), options)).body;
}

/** Reads a list to its end, page by page; `onPage` hears how much there is so far. */
export async function readAll<Address extends keyof Lists>(
  address: Address,
  options: ReadOptions & { readonly onPage?: (count: number) => void } = {},
): Promise<Lists[Address][]> {
  const { onPage, query, ...rest } = options;
  const items: Lists[Address][] = [];
  let cursor: string | null = null;
  do {
    const page: Page<Lists[Address]> = await readPage(address, {
      ...rest,
      query: { limit: PAGE_SIZE, ...query, cursor },
    });
    items.push(...page.items);
    onPage?.(items.length);
    cursor = page.nextCursor;
  } while (cursor !== null);
  return items;
}

type WriteOptions = Omit<RequestOptions, 'body'>;

/** Sends something new; repeat with the same `idempotencyKey` to repeat safely. */
export const post = <Body>(path: string, body: unknown, options: WriteOptions = {}) =>
  request<Body>('POST', path, { ...options, body });

/** Changes a document against the version that was read. */
export const patch = <Body>(path: string, body: unknown, etag: string) =>
  request<Body>('PATCH', path, { body, etag });

export const put = <Body>(path: string, body: unknown, options: WriteOptions = {}) =>
  request<Body>('PUT', path, { ...options, body });

export const remove = <Body>(path: string, options: WriteOptions = {}) =>
  request<Body>('DELETE', path, options);
