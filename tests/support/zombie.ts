import { spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { processState } from '../../src/db/embedded/process-identity.ts';
import { eventually } from './database-users.ts';

/** A parent that starts one long-lived child and names it; its children are not reaped once stopped. */
const PARENT = `
const { spawn } = require('node:child_process');
const ids = JSON.parse(process.argv[1]);
const child = spawn('sleep', ['600'], { stdio: 'ignore', ...ids });
console.log(child.pid);
process.stdin.on('end', () => { child.kill('SIGKILL'); process.exit(); }).resume();
`;

export type Bystander = {
  /** Id of a process that runs as the wanted user and has nothing to do with a database. */
  pid: number;
  /** Kills it and leaves it unreaped: its id stays taken by a zombie. */
  turnIntoZombie(): Promise<void>;
  remove(): Promise<void>;
};

/** Starts a process to stand in for whoever got a dead server's id. */
export async function startBystander(ids: { uid: number; gid: number }): Promise<Bystander> {
  const parent = spawn(process.execPath, ['-e', PARENT, JSON.stringify(ids)], {
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  const ended = new Promise<void>((resolve) => parent.once('close', () => resolve()));
  const pid = await new Promise<number>((resolve) => {
    createInterface({ input: parent.stdout }).once('line', (line) => resolve(Number(line)));
  });
  return {
    pid,
    turnIntoZombie: async () => {
      parent.kill('SIGSTOP');
      process.kill(pid, 'SIGKILL');
      await eventually('the zombie', () =>
        processState(pid).state === 'zombie' ? true : undefined,
      );
    },
    remove: async () => {
      parent.stdin.end();
      parent.kill('SIGCONT');
      await ended;
    },
  };
}
