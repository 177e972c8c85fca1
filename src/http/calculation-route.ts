import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import type { z } from 'zod';
import { problemResponses } from './route.ts';

export interface CalculationRoute<Body extends z.ZodType, Response extends z.ZodType> {
  /** Last part of the address: `/calculations/<name>`. */
  readonly name: string;
  readonly operationId: string;
  readonly summary: string;
  readonly body: Body;
  readonly response: Response;
  readonly bodyLimitBytes?: number;
  calculate(body: z.output<Body>): Answer<Response> | Promise<Answer<Response>>;
}

/** What may be answered: the engine's results are read only, and may hold more than is promised. */
type Answer<Response extends z.ZodType> = Known<z.input<Response>>;

export type Known<Value> = Value extends readonly (infer Item)[]
  ? readonly Known<Item>[]
  : Value extends object
    ? { readonly [Key in keyof Value as string extends Key ? never : Key]: Known<Value[Key]> }
    : Value;

/**
 * Declares a POST that computes and keeps nothing. Any signed-in person may call it. It runs in no
 * transaction, so that a long calculation holds no connection; sent twice, it answers the same, so
 * that an Idempotency-Key changes nothing and is not kept.
 */
export function calculationRoute<Body extends z.ZodType, Response extends z.ZodType>(
  app: FastifyInstance,
  definition: CalculationRoute<Body, Response>,
): void {
  const { name, operationId, summary, body, response, bodyLimitBytes } = definition;
  app.withTypeProvider<ZodTypeProvider>().route({
    method: 'POST',
    url: `/calculations/${name}`,
    config: { permission: 'signed-in' },
    ...(bodyLimitBytes === undefined ? {} : { bodyLimit: bodyLimitBytes }),
    schema: {
      operationId,
      tags: ['Calculations'],
      summary,
      security: [{ session: [] }, { token: [] }],
      body,
      response: { 200: response, ...problemResponses },
    } as never,
    handler: async (request) => definition.calculate(request.body as z.output<Body>),
  });
}
