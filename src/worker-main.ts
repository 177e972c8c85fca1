import { createServer } from 'node:http';
import { openService } from './boot.ts';
import { readConfig } from './config.ts';
import { startWorker } from './jobs/worker.ts';
import { endWith, onStopSignal } from './process.ts';

/** The worker as a process of its own, with /livez and /readyz for whoever watches it. */
async function work(): Promise<void> {
  const config = readConfig(process.env);
  const service = await openService(config, { applicationName: 'hoopwright-worker' });
  const worker = await startWorker(service);
  const health = createServer((request, response) => {
    const answer = (status: number) => response.writeHead(status).end();
    if (request.url === '/livez') return answer(200);
    service.db.pool.query('select 1').then(
      () => answer(200),
      () => answer(503),
    );
  });
  health.listen(config.port, config.host);
  onStopSignal(async () => {
    health.close();
    await worker.stop();
    await service.close();
  });
  process.stdout.write(`worker ready, health on http://${config.host}:${config.port}\n`);
}

work().catch(endWith);
