import { ConfigError, readConfig } from '../config.ts';
import {
  DatabaseUnavailable,
  embeddedStatus,
  keepEmbeddedRunning,
  stopEmbedded,
} from '../db/embedded/supervisor.ts';

const USAGE = `npm run db -- status        what runs, and who uses it
npm run db -- start         start the embedded database and keep it up without users
npm run db -- stop          stop it, unless a process uses it
npm run db -- stop --now    stop it although processes use it`;

async function run(args: string[]): Promise<number> {
  const [command, ...rest] = args;
  const { dataDir, databaseUrl } = readConfig(process.env);
  if (databaseUrl !== undefined) {
    console.log('DATABASE_URL is set, so the service uses that server; this is about the other:');
  }
  if (command === 'status' && rest.length === 0) {
    console.log(await describe(dataDir));
    return 0;
  }
  if (command === 'start' && rest.length === 0) {
    const log = (line: string) => console.log(line);
    const { pid, record, started } = await keepEmbeddedRunning({ dataDir, log });
    const already = started === 'reattached' ? 'runs already' : 'started';
    console.log(`${already}: process ${pid}, 127.0.0.1:${record.port}`);
    return 0;
  }
  if (command === 'stop' && rest.every((option) => option === '--now')) {
    const stopped = await stopEmbedded({ dataDir, evenIfUsed: rest.length > 0 });
    console.log(stopped ? `stopped: process ${stopped.pid}` : 'nothing was running');
    return 0;
  }
  console.error(USAGE);
  return 2;
}

async function describe(dataDir: string): Promise<string> {
  const { server, holders, isKeptRunning } = await embeddedStatus(dataDir);
  if (!server) return `stopped (data folder ${dataDir})`;
  const users = holders.map(({ pid, host }) => `process ${pid} on ${host}`);
  if (isKeptRunning) users.push('kept up by npm run db -- start');
  return [
    `running: process ${server.pid}, 127.0.0.1:${server.port}`,
    `used by: ${users.join(', ') || 'nobody'}`,
    `data:    ${server.pgData}`,
    `log:     ${server.serverLog}`,
  ].join('\n');
}

try {
  process.exitCode = await run(process.argv.slice(2));
} catch (error) {
  if (!(error instanceof DatabaseUnavailable || error instanceof ConfigError)) throw error;
  console.error(error.message);
  process.exitCode = 1;
}
