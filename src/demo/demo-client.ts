import type { FastifyInstance, InjectOptions } from 'fastify';

export type Body = Record<string, unknown> & { id: string };

/** One demo person at the service's own interface: the demo takes no way that a person could not. */
export interface DemoClient {
  get<Answer = Body>(path: string): Promise<Answer>;
  post<Answer = Body>(path: string, body: object): Promise<Answer>;
  put<Answer = Body>(path: string, body: object): Promise<Answer>;
  upload<Answer = Body>(path: string, bytes: string, mediaType: string): Promise<Answer>;
  edit<Answer = Body>(path: string, version: number, patch: object): Promise<Answer>;
}

/** Signs a person in and speaks for them. Every refusal ends the loading with its reason. */
export async function signIn(
  app: FastifyInstance,
  email: string,
  password: string,
): Promise<DemoClient> {
  const answer = await app.inject({
    method: 'POST',
    url: '/v1/sessions',
    payload: { email, password },
  });
  if (answer.statusCode >= 300) throw new Error(`Sign-in of ${email}: ${answer.body}`);
  const cookie = answer.cookies.map(({ name, value }) => `${name}=${value}`).join('; ');

  async function send<Answer>(options: InjectOptions): Promise<Answer> {
    const sent = await app.inject({ ...options, headers: { cookie, ...options.headers } });
    if (sent.statusCode >= 300) {
      throw new Error(`${options.method} ${String(options.url)}: ${sent.statusCode} ${sent.body}`);
    }
    return sent.json<Answer>();
  }
  const url = (path: string) => `/v1${path}`;
  return {
    get: (path) => send({ method: 'GET', url: url(path) }),
    post: (path, body) => send({ method: 'POST', url: url(path), payload: body }),
    put: (path, body) => send({ method: 'PUT', url: url(path), payload: body }),
    upload: (path, bytes, mediaType) =>
      send({
        method: 'POST',
        url: url(path),
        payload: bytes,
        headers: { 'content-type': mediaType },
      }),
    edit: (path, version, patch) =>
      send({
        method: 'PATCH',
        url: url(path),
        payload: patch,
        headers: { 'if-match': `"v${version}"` },
      }),
  };
}

/** Runs work on all items, a few at a time, in their order. */
export async function fewAtATime<Item>(
  items: readonly Item[],
  atATime: number,
  work: (item: Item, index: number) => Promise<void>,
): Promise<void> {
  let next = 0;
  const lanes = Array.from({ length: atATime }, async () => {
    while (next < items.length) {
      const index = next++;
      await work(items[index] as Item, index);
    }
  });
  await Promise.all(lanes);
}
