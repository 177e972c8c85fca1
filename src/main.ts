import type { AddressInfo } from 'node:net';
import { buildApp } from './app.ts';
import { openService } from './boot.ts';
import { ConfigError, readConfig } from './config.ts';
import { DatabaseUnavailable } from './db/embedded/supervisor.ts';
import { MigrationConflict } from './db/migrate.ts';
import { PrivilegedRole } from './db/roles.ts';
import { loadDemoIfNew } from './demo/load-demo.ts';
import type { Lifecycle } from './http/health.ts';
import { createMetrics, listenMetrics } from './http/metrics.ts';
import { startWorker } from './jobs/worker.ts';

/** Milliseconds a stop may take before what is left is cut off. */
const DRAIN_LIMIT_MS = 20_000;

/** Prefixes and paths of log fields that must never reach a log. */
const REDACTED = ['req.headers.authorization', 'req.headers.cookie', 'res.headers["set-cookie"]'];

async function serve(): Promise<void> {
  const config = readConfig(process.env);
  const say = (line: string) => process.stdout.write(`${line}\n`);
  const service = await openService(config, { log: say });
  const lifecycle: Lifecycle = { draining: false };
  const metrics = createMetrics(service.db);
  const demo = config.loadsDemo
    ? await loadDemoIfNew(service, { password: config.demoPassword, log: say })
    : null;
  const app = await buildApp({
    db: service.db,
    logger: { level: config.logLevel, redact: REDACTED, serializers: { req: loggedRequest } },
    limitsRates: config.limitsRates,
    securesCookies: config.securesCookies,
    ...(config.trustProxy ? { trustProxy: config.trustProxy } : {}),
    demoLoaded: demo !== null,
    lifecycle,
    dataDir: config.databaseUrl === undefined ? config.dataDir : null,
    metrics,
  });
  const worker = config.runsWorker ? await startWorker(service) : null;
  await app.listen({ host: config.host, port: config.port });
  const metricsServer = await listenMetrics(metrics, config.metricsPort);
  if (!metricsServer)
    app.log.warn({ port: config.metricsPort }, 'metrics port is taken; not served');

  const stop = async (signal: string) => {
    if (lifecycle.draining) return;
    lifecycle.draining = true;
    app.log.info({ signal }, 'draining');
    setTimeout(() => process.exit(1), DRAIN_LIMIT_MS).unref();
    await Promise.all([app.close(), worker?.stop()]);
    metricsServer?.close();
    await service.close();
    process.exit(0);
  };
  for (const signal of ['SIGINT', 'SIGTERM'] as const) {
    process.on(signal, () => void stop(signal).catch(fail));
  }

  const { port } = app.server.address() as AddressInfo;
  say(`ready http://${config.host.includes(':') ? `[${config.host}]` : config.host}:${port}`);
  if (demo) say(demo.signInHint);
}

/** Path without query: a query may hold what a person typed. */
const loggedRequest = (request: { method: string; url: string; id?: string }) => ({
  method: request.method,
  path: request.url.split('?')[0],
});

function fail(error: unknown): never {
  const isPlain =
    error instanceof ConfigError ||
    error instanceof DatabaseUnavailable ||
    error instanceof MigrationConflict ||
    error instanceof PrivilegedRole ||
    (error as NodeJS.ErrnoException)?.code === 'EADDRINUSE';
  process.stderr.write(
    isPlain ? `${(error as Error).message}\n` : `${(error as Error)?.stack ?? String(error)}\n`,
  );
  process.exit(1);
}

serve().catch(fail);
