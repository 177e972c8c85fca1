import { createServer, type Server } from 'node:http';
import type { FastifyInstance } from 'fastify';
import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from 'prom-client';
import type { Database } from '../db/database.ts';

export interface Metrics {
  readonly registry: Registry;
  readonly requestSeconds: Histogram;
  readonly replays: Counter;
}

/** Measures of one process; no label ever holds a person, an organisation or a record. */
export function createMetrics(db: Database): Metrics {
  const registry = new Registry();
  collectDefaultMetrics({ register: registry });
  const requestSeconds = new Histogram({
    name: 'http_request_duration_seconds',
    help: 'Time to answer, by route template, method and class of status',
    labelNames: ['route', 'method', 'status_class'],
    registers: [registry],
  });
  const replays = new Counter({
    name: 'idempotency_replays_total',
    help: 'Answers replayed for a repeated Idempotency-Key',
    registers: [registry],
  });
  new Gauge({
    name: 'db_pool_waiting',
    help: 'Transactions that wait for a connection',
    registers: [registry],
    collect() {
      this.set(db.pool.waitingCount);
    },
  });
  new Gauge({
    name: 'db_tx_retries',
    help: 'Transactions run again after a serialization failure or deadlock, since the start',
    registers: [registry],
    collect() {
      this.set(db.retryCount());
    },
  });
  return { registry, requestSeconds, replays };
}

export function measureRequests(app: FastifyInstance, metrics: Metrics): void {
  app.addHook('onResponse', async (request, reply) => {
    const labels = {
      route: request.routeOptions.url ?? 'none',
      method: request.method,
      status_class: `${Math.trunc(reply.statusCode / 100)}xx`,
    };
    metrics.requestSeconds.observe(labels, reply.elapsedTime / 1_000);
    if (reply.getHeader('idempotency-replayed')) metrics.replays.inc();
  });
}

/** Serves the measures on a loopback port of their own. Resolves to null when the port is taken. */
export function listenMetrics(metrics: Metrics, port: number): Promise<Server | null> {
  const server = createServer((_request, response) => {
    metrics.registry.metrics().then(
      (text) => response.setHeader('content-type', metrics.registry.contentType).end(text),
      () => response.writeHead(500).end(),
    );
  });
  return new Promise((resolve) => {
    server.once('error', () => resolve(null));
    server.listen(port, '127.0.0.1', () => resolve(server));
  });
}
