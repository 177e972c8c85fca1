import { statfs } from 'node:fs/promises';
import type { FastifyInstance } from 'fastify';
import type { Database } from '../db/database.ts';
import { DomainError } from '../domain/errors.ts';

/** Share of the disk that must be free before the service calls itself ready. */
const MIN_FREE_RATIO = 0.03;

export interface Lifecycle {
  /** True from SIGTERM on: no new work, answers close their connections. */
  draining: boolean;
}

/** /livez says that the process runs; /readyz that it can serve: database, disk, not draining. */
export function serveHealth(
  app: FastifyInstance,
  db: Database,
  lifecycle: Lifecycle,
  dataDir: string | null,
): void {
  const open = { schema: { hide: true }, config: { permission: 'public' as const } };
  app.get('/livez', open, async () => ({ status: 'alive' }));
  app.get('/readyz', open, async () => {
    if (lifecycle.draining)
      throw new DomainError('unavailable', { detail: 'Stopping.', retryAfterS: 5 });
    await db.pool.query('select 1');
    if (dataDir !== null) {
      const { bavail, blocks } = await statfs(dataDir);
      if (bavail < blocks * MIN_FREE_RATIO) throw new DomainError('no-space');
    }
    return { status: 'ready' };
  });
  app.addHook('onSend', async (_request, reply) => {
    if (lifecycle.draining) reply.header('connection', 'close');
  });
}
