import { z } from 'zod';

export const problemBody = z
  .looseObject({
    type: z.string(),
    title: z.string(),
    status: z.int(),
    code: z.string(),
    detail: z.string().optional(),
    rule: z.string().optional(),
    errors: z
      .array(
        z.looseObject({
          pointer: z
            .string()
            .meta({ description: 'JSON Pointer (RFC 6901) into the request body' }),
          code: z.string(),
          message: z.string(),
          rejectedValue: z.unknown().optional(),
        }),
      )
      .optional(),
    instance: z.string(),
    requestId: z.string(),
    retryable: z.boolean(),
  })
  .meta({ id: 'Problem', description: 'Problem details, RFC 9457' });
export type ProblemBody = z.infer<typeof problemBody>;
