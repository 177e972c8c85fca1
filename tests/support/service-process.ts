import { type ChildProcess, spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const MAIN = fileURLToPath(new URL('../../dist/src/main.js', import.meta.url));

export interface ServiceProcess {
  readonly url: string;
  readonly pid: number;
  /** Everything printed so far on both outputs. */
  output(): string;
  /** Sends a signal and waits until the process is gone; returns its exit code. */
  end(signal: NodeJS.Signals): Promise<number | null>;
}

/**
 * The compiled service as a process of its own, ready to answer.
 *
 * @throws when it ends before it is ready, with what it printed
 */
export async function startServiceProcess(
  environment: Readonly<Record<string, string>>,
): Promise<ServiceProcess> {
  const child = spawn(process.execPath, [MAIN], {
    env: {
      PATH: process.env.PATH,
      HOST: '127.0.0.1',
      PORT: '0',
      METRICS_PORT: '0',
      LOG_LEVEL: 'warn',
      DEMO: '0',
      RATE_LIMIT: '0',
      ...environment,
    },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let printed = '';
  const gone = new Promise<number | null>((resolve) => child.once('exit', resolve));
  const url = await new Promise<string>((resolve, reject) => {
    const read = (chunk: Buffer) => {
      printed += chunk.toString();
      const match = /^ready (http:\S+)$/m.exec(printed);
      if (match?.[1]) resolve(match[1]);
    };
    child.stdout?.on('data', read);
    child.stderr?.on('data', read);
    gone.then((code) => reject(new Error(`The service ended with ${code}:\n${printed}`)));
  });
  return {
    url,
    pid: pidOf(child),
    output: () => printed,
    end: (signal) => endProcess(child, gone, signal),
  };
}

function pidOf(child: ChildProcess): number {
  if (child.pid === undefined) throw new Error('The process did not start');
  return child.pid;
}

async function endProcess(
  child: ChildProcess,
  gone: Promise<number | null>,
  signal: NodeJS.Signals,
) {
  if (child.exitCode === null && child.signalCode === null) child.kill(signal);
  return gone;
}
