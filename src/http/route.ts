import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { problemBody } from '../../shared/contract/problem.ts';
import type { Database } from '../db/database.ts';
import { DomainError } from '../domain/errors.ts';
import { actorOf } from './authenticate.ts';
import { claimKey, readKey, requestHash, storeAnswer } from './idempotency.ts';
import type {
  Answer,
  Common,
  FileAnswer,
  Out,
  RouteInput,
  Routes,
  Upload,
} from './route-definition.ts';
import { etagOf, versionFrom } from './version.ts';

export type { Answer, FileAnswer, Routes, Upload } from './route-definition.ts';

const PROBLEM_STATUSES = [400, 401, 403, 404, 409, 412, 413, 415, 422, 428, 429, 500, 503] as const;

export const problemResponses = Object.fromEntries(
  PROBLEM_STATUSES.map((status) => [
    status,
    { description: 'Problem', content: { 'application/problem+json': { schema: problemBody } } },
  ]),
);

/**
 * Declares routes that run in one transaction of the signed-in person's organisation: tenant,
 * idempotency, versions and audit belong to that transaction, so that a request either happened
 * whole or not at all.
 */
export function tenantRoutes(app: FastifyInstance, db: Database): Routes {
  const typed = app.withTypeProvider<ZodTypeProvider>();

  function declare<Params, Query, Body>(
    definition: Common<Params, Query, Body>,
    success: Record<number, unknown>,
    respond: (
      request: FastifyRequest,
      reply: FastifyReply,
      input: RouteInput<Params, Query, Body>,
    ) => Promise<unknown>,
  ) {
    const { method, url, operationId, tag, summary, permission, params, query } = definition;
    typed.route({
      method,
      url,
      config: { permission },
      ...(definition.bodyLimitBytes ? { bodyLimit: definition.bodyLimitBytes } : {}),
      schema: {
        operationId,
        tags: [tag],
        summary,
        security: [{ session: [] }, { token: [] }],
        ...(params ? { params } : {}),
        ...(query ? { querystring: query } : {}),
        ...bodySchema(definition),
        ...headersSchema(definition),
        response: { ...success, ...problemResponses },
      } as never,
      handler: async (request, reply) =>
        respond(request, reply, {
          params: request.params as Out<Params>,
          query: request.query as Out<Query>,
          body: request.body as Out<Body>,
          version: versionOf(definition, header(request, 'if-match')),
          upload: uploadOf(request, definition),
          log: request.log,
        }),
    });
  }

  return {
    route(definition) {
      const status = definition.status ?? 200;
      declare(definition, { [status]: definition.response }, async (request, reply, input) => {
        const key =
          definition.method === 'POST' ? readKey(header(request, 'idempotency-key')) : null;
        const answer = await db.withTenant(
          actorOf(request),
          async (tx) => {
            if (key === null) return toStored(await definition.handle(tx, input), status);
            const hash = requestHash(request.method, request.url, request.body);
            const earlier = await claimKey(tx, key, hash);
            if (earlier) return { ...earlier, replayed: true };
            const stored = toStored(await definition.handle(tx, input), status);
            const kept = definition.withoutSecret?.(stored.value) ?? stored.value;
            await storeAnswer(tx, key, { ...stored, body: JSON.stringify(kept) });
            return stored;
          },
          definition,
        );
        if ('replayed' in answer && answer.body === null) throw erasedAnswer();
        reply.code(answer.status).headers(answer.headers);
        if ('replayed' in answer) {
          reply.header('idempotency-replayed', 'true');
          return JSON.parse(answer.body ?? 'null') as unknown;
        }
        if (request.headers['if-none-match'] === answer.headers.etag && answer.headers.etag) {
          return reply.code(304).send();
        }
        return answer.value;
      });
    },
    download(definition) {
      const content = Object.fromEntries(
        definition.mediaTypes.map((type) => [type, { schema: z.string() }]),
      );
      declare(
        definition,
        { 200: { description: 'File', content } },
        async (request, reply, input) => {
          const file = await db.withTenant(
            actorOf(request),
            (tx) => definition.handle(tx, input),
            definition,
          );
          return reply
            .header('content-type', file.mediaType)
            .header('content-disposition', contentDisposition(file))
            .header('content-security-policy', fileSecurityPolicy(file))
            .serializer((payload: unknown) => payload as string)
            .send(typeof file.content === 'string' ? Buffer.from(file.content) : file.content);
        },
      );
    },
  };
}

function toStored<Body>(answer: Answer<Body>, declaredStatus: number) {
  const headers: Record<string, string> = { ...answer.headers };
  if (answer.location) headers.location = answer.location;
  if (answer.version !== undefined) headers.etag = etagOf(answer.version);
  return { status: answer.status ?? declaredStatus, headers, value: answer.body };
}

function header(request: FastifyRequest, name: string): string | undefined {
  const value = request.headers[name];
  return Array.isArray(value) ? value[0] : value;
}

const erasedAnswer = () =>
  new DomainError('conflict', {
    detail: 'This was done; its stored answer was erased together with personal data.',
  });

const JSON_TYPE = 'application/json';
const BYTES = z.unknown().meta({ type: 'string', format: 'binary' });

function bodySchema({ body, upload }: { body?: unknown; upload?: readonly string[] }) {
  if (!upload) return body ? { body } : {};
  const content = Object.fromEntries(upload.map((type) => [type, { schema: BYTES as unknown }]));
  return { body: { content: { ...(body ? { [JSON_TYPE]: { schema: body } } : {}), ...content } } };
}

function uploadOf(
  request: FastifyRequest,
  { body, upload }: { body?: unknown; upload?: readonly string[] },
): Upload {
  const header = request.headers['content-type'] ?? '';
  const mediaType = (header.split(';')[0] ?? '').trim().toLowerCase();
  const isTaken = upload?.includes(mediaType) || (body !== undefined && mediaType === JSON_TYPE);
  if (upload && !isTaken) throw new DomainError('unsupported-media-type');
  return {
    bytes: Buffer.isBuffer(request.body) ? request.body : Buffer.alloc(0),
    mediaType,
  };
}

function versionOf({ versioned }: { versioned?: boolean | 'when-given' }, ifMatch?: string) {
  const isNamed = versioned === 'when-given' ? ifMatch !== undefined : versioned;
  return isNamed ? versionFrom(ifMatch) : 0;
}

function headersSchema(definition: { method: string; versioned?: boolean | 'when-given' }) {
  const { method, versioned } = definition;
  if (versioned) return { headers: z.looseObject({ 'if-match': z.string().optional() }) };
  if (method === 'POST')
    return { headers: z.looseObject({ 'idempotency-key': z.string().optional() }) };
  return {};
}

/** RFC 6266: a plain ASCII name for old clients, the real one encoded beside it. */
function contentDisposition({ fileName, page }: FileAnswer): string {
  const ascii = fileName.replace(/[^\w.-]+/g, '_');
  const encoded = encodeURIComponent(fileName).replace(
    /['()*]/g,
    (character) => `%${character.charCodeAt(0).toString(16).toUpperCase()}`,
  );
  return `${page ? 'inline' : 'attachment'}; filename="${ascii}"; filename*=UTF-8''${encoded}`;
}

/** A file may do nothing; a page may use its own style sheet and be printed. */
function fileSecurityPolicy({ page }: FileAnswer): string {
  if (!page) return "default-src 'none'; sandbox";
  return `default-src 'none'; style-src '${page.styleHash}'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox allow-modals`;
}
