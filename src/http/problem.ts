import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify';
import {
  hasZodFastifySchemaValidationErrors,
  ResponseSerializationError,
} from 'fastify-type-provider-zod';
import { EngineError } from '../../shared/errors.ts';
import { refusalOf } from '../db/constraint-errors.ts';
import { DomainError, type FieldError, PROBLEMS, type ProblemCode } from '../domain/errors.ts';

const MEDIA_TYPE = 'application/problem+json';

/** Codes whose request may be sent again unchanged with hope. */
const WORTH_RETRYING: ReadonlySet<ProblemCode> = new Set([
  'in-progress',
  'too-many-requests',
  'unavailable',
  'no-space',
]);

/** Sends an RFC 9457 problem. */
export function sendProblem(request: FastifyRequest, reply: FastifyReply, error: DomainError) {
  const [status, title] = PROBLEMS[error.code];
  const { detail, rule, errors, retryAfterS, extra } = error.details;
  if (retryAfterS !== undefined) reply.header('retry-after', String(retryAfterS));
  if (status === 401) reply.header('www-authenticate', 'Bearer');
  return reply
    .code(status)
    .header('content-type', MEDIA_TYPE)
    .serializer(JSON.stringify)
    .send({
      type: `/problems/${error.code}`,
      title,
      status,
      code: error.code,
      ...(detail ? { detail } : {}),
      ...(rule ? { rule } : {}),
      ...(errors ? { errors } : {}),
      ...extra,
      instance: request.url.split('?')[0],
      requestId: request.id,
      retryable: WORTH_RETRYING.has(error.code),
    });
}

/** Turns whatever was thrown into a refusal; what is not understood becomes `internal`. */
export function asDomainError(error: unknown, request?: FastifyRequest): DomainError {
  if (error instanceof DomainError) return error;
  if (hasZodFastifySchemaValidationErrors(error)) {
    const part = error.validationContext as 'body' | 'querystring' | 'params' | 'headers';
    const received = request?.[part === 'querystring' ? 'query' : part];
    return new DomainError('invalid-content', {
      detail: `The ${part === 'querystring' ? 'query' : part} has values that are not acceptable.`,
      errors: error.validation.flatMap((found) => fieldErrors(found as unknown as Found, received)),
    });
  }
  if (error instanceof EngineError) return engineRefusal(error);
  if (error instanceof ResponseSerializationError)
    return new DomainError('internal', { cause: error });
  return (
    refusalOf(error) ?? frameworkRefusal(error) ?? new DomainError('internal', { cause: error })
  );
}

interface Found {
  readonly keyword: string;
  readonly instancePath: string;
  readonly message: string;
  readonly params: { readonly keys?: readonly string[] };
}

function fieldErrors(
  { keyword, instancePath, message, params }: Found,
  received: unknown,
): FieldError[] {
  const pointer = instancePath === '/' ? '' : instancePath;
  if (keyword === 'unrecognized_keys') {
    return (params.keys ?? []).map((key) => ({
      pointer: `${pointer}/${key}`,
      code: 'field.unknown',
      message: 'is not a field of this request',
    }));
  }
  const rejectedValue = valueAt(received, pointer);
  return [
    { pointer, code: keyword, message, ...(rejectedValue === undefined ? {} : { rejectedValue }) },
  ];
}

/** Longest text echoed back in a refusal. */
const MAX_ECHO_LENGTH = 200;

function valueAt(received: unknown, pointer: string): unknown {
  if (/password|token/i.test(pointer)) return undefined;
  let value = received;
  for (const key of pointer.split('/').slice(1)) {
    if (typeof value !== 'object' || value === null) return undefined;
    value = (value as Record<string, unknown>)[key];
  }
  if (typeof value === 'string') return value.slice(0, MAX_ECHO_LENGTH);
  return typeof value === 'object' ? undefined : finiteOrText(value);
}

function engineRefusal(error: EngineError): DomainError {
  return new DomainError('out-of-range', {
    detail: error.message,
    errors: [
      {
        pointer: `/${error.parameter.replace(/[.[]/g, '/').replaceAll(']', '')}`,
        code: error.code,
        message: error.limit,
        rejectedValue: finiteOrText(error.value),
      },
    ],
    cause: error,
  });
}

const finiteOrText = (value: unknown) =>
  typeof value === 'number' && !Number.isFinite(value) ? String(value) : value;

function frameworkRefusal(error: unknown): DomainError | null {
  const { statusCode, code, message } = error as Partial<FastifyError>;
  switch (statusCode) {
    case 400:
      return new DomainError('invalid-request', { detail: message ?? '', cause: error });
    case 413:
      return new DomainError('too-large', { cause: error });
    case 415:
      return new DomainError('unsupported-media-type', { cause: error });
    case 429:
      return error instanceof DomainError
        ? error
        : new DomainError('too-many-requests', { retryAfterS: 60 });
    case 503:
      return new DomainError('unavailable', { retryAfterS: 10, cause: error });
    default:
      return code === 'FST_ERR_CTP_INVALID_JSON_BODY'
        ? new DomainError('invalid-request', { cause: error })
        : null;
  }
}

/** Fastify's error handler: logs what is ours, answers with a problem. */
export function handleError(error: unknown, request: FastifyRequest, reply: FastifyReply) {
  const refusal = asDomainError(error, request);
  if (refusal.code === 'internal') request.log.error({ err: error }, 'request failed');
  else if (refusal.code === 'unavailable') request.log.warn({ err: error }, 'unavailable');
  return sendProblem(request, reply, refusal);
}

/** Answers addresses that cannot even be routed; no hook runs for them. */
export function refuseAddress(error: FastifyError, request: FastifyRequest, reply: FastifyReply) {
  reply.header('x-request-id', request.id).header('x-content-type-options', 'nosniff');
  const isUnreadable = error.code === 'FST_ERR_BAD_URL';
  const detail = isUnreadable ? 'The address is not well encoded.' : 'The address is too long.';
  sendProblem(
    request,
    reply,
    new DomainError(isUnreadable ? 'invalid-request' : 'not-found', { detail, cause: error }),
  );
}
