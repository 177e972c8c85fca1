/** The names of all parts of the field pages, written in by the build. */
declare const FIELD_PARTS: readonly string[];
/** Changes whenever a part does. */
declare const FIELD_VERSION: string;

interface WorkerEvent extends Event {
  waitUntil(work: Promise<unknown>): void;
}

interface FetchEvent extends WorkerEvent {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}

interface WorkerScope {
  readonly location: Location;
  readonly clients: { claim(): Promise<void> };
  skipWaiting(): Promise<void>;
  addEventListener(name: 'install' | 'activate', listener: (event: WorkerEvent) => void): void;
  addEventListener(name: 'fetch', listener: (event: FetchEvent) => void): void;
}

const worker = self as unknown as WorkerScope;

const PREFIX = 'hoopwright-field-';
const CACHE = PREFIX + FIELD_VERSION;
const DOCUMENT = '/field';

/** Keeps every part, so that after one visit the pages open without a network. */
async function keepParts(): Promise<void> {
  const cache = await caches.open(CACHE);
  await cache.addAll(
    [DOCUMENT, ...FIELD_PARTS].map((path) => new Request(path, { cache: 'reload' })),
  );
  await worker.skipWaiting();
}

/** Parts of older versions go once the new ones are all here. */
async function dropOlder(): Promise<void> {
  for (const name of await caches.keys()) {
    if (name.startsWith(PREFIX) && name !== CACHE) await caches.delete(name);
  }
  await worker.clients.claim();
}

/** The kept part when there is one: the names hold a hash, so it is the right one. */
async function keptFirst(request: Request, name: string): Promise<Response> {
  const kept = await (await caches.open(CACHE)).match(name);
  return kept ?? fetch(request);
}

worker.addEventListener('install', (event) => event.waitUntil(keepParts()));
worker.addEventListener('activate', (event) => event.waitUntil(dropOlder()));
worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== worker.location.origin) return;
  const isDocument = pathname === DOCUMENT || pathname.startsWith(`${DOCUMENT}/`);
  // Answers of the service itself are never kept here: the pages keep what they need of them.
  if (isDocument) event.respondWith(keptFirst(request, DOCUMENT));
  else if (FIELD_PARTS.includes(pathname)) event.respondWith(keptFirst(request, pathname));
});

export {};
