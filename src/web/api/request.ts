import type { ProblemBody } from '../../../shared/contract/problem.ts';
import { Refusal, Unreachable } from './refusal.ts';

const BASE = '/v1';

export type QueryValue = string | number | boolean | null | undefined;
export type Query = Readonly<Record<string, QueryValue>>;

export interface RequestOptions {
  readonly query?: Query | undefined;
  /** Sent as JSON; a Blob is sent as it is, with its own type. */
  readonly body?: unknown;
  /** The version that was read, sent as If-Match. */
  readonly etag?: string | undefined;
  /** Of a POST; a new one is made when it is left out. Repeat it to repeat the request. */
  readonly idempotencyKey?: string | undefined;
  readonly signal?: AbortSignal | undefined;
}

export interface Answer<Body> {
  readonly body: Body;
  readonly etag: string | null;
  readonly location: string | null;
}

const listeners = new Set<() => void>();

/** Calls `listener` whenever the service says that nobody is signed in. */
export function onSignedOut(listener: () => void): void {
  listeners.add(listener);
}

/** An address below /v1 with its query; absent values are left out. */
export function addressOf(path: string, query: Query = {}): string {
  const given = Object.entries(query).filter(([, value]) => value !== undefined && value !== null);
  const search = new URLSearchParams(given.map(([name, value]) => [name, String(value)]));
  return given.length === 0 ? `${BASE}${path}` : `${BASE}${path}?${search}`;
}

/**
 * One request to the service.
 *
 * @throws {Refusal} the service refused; @throws {Unreachable} no answer came
 */
export async function request<Body>(
  method: string,
  path: string,
  options: RequestOptions = {},
): Promise<Answer<Body>> {
  const response = await send(method, addressOf(path, options.query), options);
  if (response.ok) {
    return {
      body: (await response.json()) as Body,
      etag: response.headers.get('etag'),
      location: response.headers.get('location'),
    };
  }
  const problem = await problemOf(response);
  if (problem.code === 'unauthenticated') for (const listener of listeners) listener();
  throw new Refusal(problem);
}

async function send(method: string, address: string, options: RequestOptions): Promise<Response> {
  const headers = new Headers({ accept: 'application/json' });
  const { body, etag, signal, idempotencyKey } = options;
  if (etag !== undefined) headers.set('if-match', etag);
  if (method === 'POST') headers.set('idempotency-key', idempotencyKey ?? newKey());
  const isBytes = body instanceof Blob;
  if (body !== undefined && !isBytes) {
    const kind = method === 'PATCH' ? 'application/merge-patch+json' : 'application/json';
    headers.set('content-type', kind);
  }
  try {
    return await fetch(address, {
      method,
      headers,
      credentials: 'same-origin',
      ...(body === undefined ? {} : { body: isBytes ? body : JSON.stringify(body) }),
      ...(signal ? { signal } : {}),
    });
  } catch (error) {
    if (signal?.aborted) throw error;
    throw new Unreachable(error);
  }
}

/** A random key; randomUUID would need a secure context, and a service on plain HTTP has none. */
export function newKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

async function problemOf(response: Response): Promise<ProblemBody> {
  try {
    const body = (await response.json()) as ProblemBody;
    if (typeof body.code === 'string') return body;
  } catch {
    // Something between us and the service answered in its place.
  }
  return {
    type: 'about:blank',
    title: response.statusText || String(response.status),
    status: response.status,
    code: response.status >= 500 ? 'unavailable' : 'invalid-request',
    instance: '',
    requestId: response.headers.get('x-request-id') ?? '',
    retryable: response.status >= 500,
  };
}
