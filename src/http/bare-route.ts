import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import type { z } from 'zod';
import { refuseForeignOrigin } from './authenticate.ts';
import { problemResponses } from './route.ts';

export interface BareRoute<Body extends z.ZodType, Response extends z.ZodType> {
  readonly url: string;
  readonly operationId: string;
  readonly tag: string;
  readonly summary: string;
  readonly permission: 'public' | 'signed-in';
  readonly body: Body;
  readonly response: Response;
  handle(
    body: z.output<Body>,
    request: FastifyRequest,
    reply: FastifyReply,
  ): Promise<z.input<Response>>;
}

/**
 * Declares a POST that takes a password or a link. Its slow hashing holds no transaction, and its
 * body is never kept, not even as a hash, so that it honours no Idempotency-Key. Pages of other
 * sites may not call it.
 */
export function bareRoute<Body extends z.ZodType, Response extends z.ZodType>(
  app: FastifyInstance,
  definition: BareRoute<Body, Response>,
): void {
  const { url, operationId, tag, summary, permission, body, response } = definition;
  app.withTypeProvider<ZodTypeProvider>().route({
    method: 'POST',
    url,
    config: { permission },
    onRequest: async (request) => refuseForeignOrigin(request),
    schema: {
      operationId,
      tags: [tag],
      summary,
      security: permission === 'public' ? [] : [{ session: [] }, { token: [] }],
      body,
      response: { 201: response, ...problemResponses },
    } as never,
    handler: async (request, reply) => {
      reply.code(201).header('cache-control', 'no-store');
      return definition.handle(request.body as z.output<Body>, request, reply);
    },
  });
}
