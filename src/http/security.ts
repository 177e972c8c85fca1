import fastifyCookie from '@fastify/cookie';
import fastifyHelmet from '@fastify/helmet';
import fastifyRateLimit from '@fastify/rate-limit';
import fastifyUnderPressure from '@fastify/under-pressure';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { DomainError } from '../domain/errors.ts';
import { isInsideBatch } from './inside-batch.ts';

/** Requests a minute, by kind; `auth` guards sign-in and links, beside the back-off in the database. */
const LIMITS = { read: 1_200, write: 600, auth: 60 } as const;
const WINDOW_S = 60;

type Policy = keyof typeof LIMITS;

/** Headers, cookies, request rates and load shedding of every answer. */
export async function secure(
  app: FastifyInstance,
  { limitsRates, shedsLoad }: { limitsRates: boolean; shedsLoad: boolean },
): Promise<void> {
  await app.register(fastifyHelmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:'],
        formAction: ["'none'"],
        baseUri: ["'none'"],
        frameAncestors: ["'none'"],
      },
    },
    referrerPolicy: { policy: 'no-referrer' },
    xFrameOptions: { action: 'deny' },
    crossOriginResourcePolicy: { policy: 'same-origin' },
  });
  app.addHook('onSend', async (_request, reply) => {
    reply.header('permissions-policy', 'camera=(self), geolocation=(self), microphone=()');
  });
  await app.register(fastifyCookie);
  if (shedsLoad) await shedLoad(app);
  if (limitsRates) await limitRates(app);
}

async function shedLoad(app: FastifyInstance) {
  await app.register(fastifyUnderPressure, {
    maxEventLoopDelay: 2_000,
    pressureHandler: () => {
      throw new DomainError('unavailable', { detail: 'The service is busy.', retryAfterS: 5 });
    },
  });
}

async function limitRates(app: FastifyInstance) {
  await app.register(fastifyRateLimit, {
    timeWindow: WINDOW_S * 1_000,
    max: (request) => LIMITS[policyOf(request)],
    keyGenerator: (request) => `${policyOf(request)} ${request.actor?.personId ?? request.ip}`,
    hook: 'preValidation',
    allowList: () => isInsideBatch(),
    errorResponseBuilder: (_request, { ttl }) =>
      new DomainError('too-many-requests', { retryAfterS: Math.ceil(ttl / 1_000) }),
    addHeaders: {
      'x-ratelimit-limit': true,
      'x-ratelimit-remaining': true,
      'x-ratelimit-reset': true,
      'retry-after': true,
    },
  });
  app.addHook('onSend', async (request, reply) => {
    const remaining = reply.getHeader('x-ratelimit-remaining');
    if (remaining === undefined) return;
    const policy = policyOf(request);
    const reset = reply.getHeader('x-ratelimit-reset');
    reply.header('ratelimit-policy', `"${policy}";q=${LIMITS[policy]};w=${WINDOW_S}`);
    reply.header('ratelimit', `"${policy}";r=${String(remaining)};t=${String(reset)}`);
    for (const name of ['limit', 'remaining', 'reset']) reply.removeHeader(`x-ratelimit-${name}`);
  });
}

function policyOf(request: FastifyRequest): Policy {
  const isPublic = request.routeOptions.config.permission === 'public';
  if (isPublic && request.method === 'POST') return 'auth';
  return request.method === 'GET' || request.method === 'HEAD' ? 'read' : 'write';
}
