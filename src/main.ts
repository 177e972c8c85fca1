import type { AddressInfo } from 'node:net';
import { buildApp } from './app.ts';
import { openService } from './boot.ts';
import { readConfig } from './config.ts';
import { loadDemoIfNew } from './demo/load-demo.ts';
import type { Lifecycle } from './http/health.ts';
import { loggedRequest } from './http/logged-request.ts';
import { createMetrics, listenMetrics } from './http/metrics.ts';
import { startWorker } from './jobs/worker.ts';
import { endWith, onStopSignal } from './process.ts';

/** Log fields that must never reach a log. */
const REDACTED = ['req.headers.authorization', 'req.headers.cookie', 'res.headers["set-cookie"]'];

const say = (line: string) => process.stdout.write(`${line}\n`);

/** The service: database, demo when it is new, API, and the worker unless it runs apart. */
async function serve(): Promise<void> {
  const config = readConfig(process.env);
  const service = await openService(config, { log: say });
  const lifecycle: Lifecycle = { draining: false };
  const metrics = createMetrics(service.db);
  const demo = await loadDemoIfNew(service, config, say);
  const app = await buildApp({
    db: service.db,
    logger: { level: config.logLevel, redact: REDACTED, serializers: { req: loggedRequest } },
    limitsRates: config.limitsRates,
    securesCookies: config.securesCookies,
    ...(config.trustProxy ? { trustProxy: config.trustProxy } : {}),
    demoLoaded: demo.isLoaded,
    lifecycle,
    dataDir: config.databaseUrl === undefined ? config.dataDir : null,
    metrics,
  });
  const worker = config.runsWorker ? await startWorker(service, { log: app.log }) : null;
  await app.listen({ host: config.host, port: config.port });
  const metricsServer = await listenMetrics(metrics, config.metricsPort);
  if (!metricsServer)
    app.log.warn({ port: config.metricsPort }, 'metrics port is taken; not served');

  onStopSignal(async (signal) => {
    lifecycle.draining = true;
    app.log.info({ signal }, 'draining');
    await Promise.all([app.close(), worker?.stop()]);
    metricsServer?.close();
    await service.close();
  });

  const { port } = app.server.address() as AddressInfo;
  say(`ready http://${config.host.includes(':') ? `[${config.host}]` : config.host}:${port}`);
  for (const line of demo.signInLines) say(line);
}

serve().catch(endWith);
