import fastifyCompress from '@fastify/compress';
import Fastify, { type FastifyInstance, type FastifyServerOptions } from 'fastify';
import { serializerCompiler, validatorCompiler } from 'fastify-type-provider-zod';
import { v7 as uuidv7 } from 'uuid';
import { ENGINE_VERSION } from '../shared/version.ts';
import type { Database } from './db/database.ts';
import { type Clock, systemClock } from './domain/clock.ts';
import { DomainError } from './domain/errors.ts';
import { authenticator, forbidCaching } from './http/authenticate.ts';
import { type Lifecycle, serveHealth } from './http/health.ts';
import { type Metrics, measureRequests } from './http/metrics.ts';
import { serveOpenApi } from './http/openapi.ts';
import { servePages } from './http/pages.ts';
import { handleError, refuseAddress, sendProblem } from './http/problem.ts';
import { secure } from './http/security.ts';
import { sessionCookie } from './http/session-cookie.ts';
import { refuseUnstorableText } from './http/storable-text.ts';
import { serveSlices } from './slices.ts';

export interface AppOptions {
  readonly db: Database;
  readonly clock?: Clock;
  readonly logger?: FastifyServerOptions['logger'];
  readonly limitsRates?: boolean;
  /** False keeps the service answering when the machine is slow, as under test. */
  readonly shedsLoad?: boolean;
  readonly securesCookies?: boolean;
  readonly trustProxy?: string;
  readonly demoLoaded?: boolean;
  readonly lifecycle?: Lifecycle;
  readonly dataDir?: string | null;
  readonly metrics?: Metrics;
}

export interface RouteEntry {
  readonly method: string;
  readonly url: string;
  readonly permission: string;
}

declare module 'fastify' {
  interface FastifyInstance {
    /** Every route with the permission that it declares. */
    routeTable: readonly RouteEntry[];
  }
}

const BODY_LIMIT_BYTES = 1024 * 1024;

/** Builds the whole service without listening: what `main.ts` serves and the tests call. */
export async function buildApp(options: AppOptions): Promise<FastifyInstance> {
  const { db, clock = systemClock } = options;
  const app = Fastify({
    logger: options.logger ?? false,
    genReqId: (request) => {
      const given = request.headers['x-request-id'];
      return typeof given === 'string' && /^[\w-]{8,64}$/.test(given) ? given : uuidv7();
    },
    bodyLimit: BODY_LIMIT_BYTES,
    // A photo over a weak mobile network takes its time; a line that stands still is ended sooner.
    requestTimeout: 120_000,
    connectionTimeout: 60_000,
    trustProxy: options.trustProxy ?? false,
    routerOptions: { maxParamLength: 200 },
    frameworkErrors: refuseAddress,
    return503OnClosing: false,
  });
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(serializerCompiler);
  app.setErrorHandler(handleError);
  app.decorateRequest('actor', null);
  app.addHook('onSend', async (request, reply) => {
    reply.header('x-request-id', request.id);
  });
  declarePermissions(app);
  await secure(app, {
    limitsRates: options.limitsRates ?? true,
    shedsLoad: options.shedsLoad ?? true,
  });
  await app.register(fastifyCompress, { global: true, threshold: 2_048, encodings: ['gzip'] });
  if (options.metrics) measureRequests(app, options.metrics);
  acceptUploads(app);

  const cookie = sessionCookie(app, { isSecure: options.securesCookies ?? false });
  const authenticate = authenticator(db, cookie.name);
  app.addHook('onRequest', async (request, reply) => {
    const { permission } = request.routeOptions.config;
    if (permission === 'public' || permission === undefined) return;
    request.actor = await authenticate(request);
    if (!request.actor) throw new DomainError('unauthenticated');
    if (permission !== 'signed-in' && !request.actor.permissions.has(permission)) {
      throw new DomainError('forbidden', { detail: `This needs the permission ${permission}.` });
    }
    forbidCaching(request, reply);
  });
  app.addHook('preHandler', refuseUnstorableText);
  app.setNotFoundHandler(
    { preHandler: options.limitsRates === false ? [] : [app.rateLimit()] },
    (request, reply) => sendProblem(request, reply, new DomainError('not-found')),
  );

  await serveOpenApi(app, ENGINE_VERSION);
  serveHealth(app, db, options.lifecycle ?? { draining: false }, options.dataDir ?? null);
  servePages(app, { demoLoaded: options.demoLoaded ?? false });
  await app.register(async (v1) => serveSlices(v1, { db, clock, cookie }), { prefix: '/v1' });
  return app;
}

/** Stops the boot when a route does not say who may call it. */
function declarePermissions(app: FastifyInstance) {
  const table: RouteEntry[] = [];
  app.decorate('routeTable', table);
  app.addHook('onRoute', (route) => {
    if (route.url.startsWith('/docs')) route.config = { ...route.config, permission: 'public' };
    const permission = route.config?.permission;
    if (permission === undefined) {
      throw new Error(`${String(route.method)} ${route.url} declares no permission`);
    }
    for (const method of [route.method].flat()) {
      if (method !== 'HEAD') table.push({ method, url: route.url, permission });
    }
  });
}

function acceptUploads(app: FastifyInstance) {
  const asBytes = { parseAs: 'buffer' as const };
  const bytesTypes = [
    'text/csv',
    'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet',
    'image/jpeg',
    'image/png',
    'image/webp',
  ];
  app.addContentTypeParser(bytesTypes, asBytes, (_request, body, done) => done(null, body));
  app.removeContentTypeParser('text/plain');
  app.addContentTypeParser(
    'application/merge-patch+json',
    { parseAs: 'string' },
    app.getDefaultJsonParser('error', 'error'),
  );
}
