import { execFileSync } from 'node:child_process';
import { readFileSync, readlinkSync } from 'node:fs';
import { hostname } from 'node:os';

/** What the operating system says about a process id. */
export type ProcessState =
  | { state: 'absent' }
  | { state: 'zombie' }
  | { state: 'running'; name: string; startedTicks: string };

/** A process that can be told apart from a later one with the same id. */
export type ProcessIdentity = {
  pid: number;
  startedTicks: string;
  /** The boot and process namespace within which `pid` means something. */
  machine: string;
  host: string;
};

/** Looks a process id up: absent, dead but not yet reaped (zombie), or running. */
export function processState(pid: number): ProcessState {
  if (!Number.isSafeInteger(pid) || pid <= 0) return { state: 'absent' };
  return process.platform === 'linux' ? linuxProcessState(pid) : portableProcessState(pid);
}

/** This process, as other processes will recognise it. */
export function thisProcess(): ProcessIdentity {
  const own = processState(process.pid);
  return {
    pid: process.pid,
    startedTicks: own.state === 'running' ? own.startedTicks : '',
    machine: thisMachine(),
    host: hostname(),
  };
}

/** True while the very process that was recorded (not a later one with its id) still runs here. */
export function isStillRunning(identity: ProcessIdentity): boolean {
  const now = processState(identity.pid);
  return now.state === 'running' && now.startedTicks === identity.startedTicks;
}

/** Names the space in which process ids are comparable: one boot and one process namespace. */
export function thisMachine(): string {
  if (process.platform !== 'linux') return hostname();
  try {
    const boot = readFileSync('/proc/sys/kernel/random/boot_id', 'utf8').trim();
    return `${boot} ${readlinkSync('/proc/self/ns/pid')}`;
  } catch {
    return hostname();
  }
}

function linuxProcessState(pid: number): ProcessState {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8');
    // The name stands in brackets and may itself hold brackets and spaces.
    const nameEnd = stat.lastIndexOf(')');
    const name = stat.slice(stat.indexOf('(') + 1, nameEnd);
    const fields = stat.slice(nameEnd + 2).split(' ');
    if (fields[0] === 'Z' || fields[0] === 'X') return { state: 'zombie' };
    return { state: 'running', name, startedTicks: fields[19] ?? '' };
  } catch {
    return answersSignals(pid)
      ? { state: 'running', name: '', startedTicks: '' }
      : { state: 'absent' };
  }
}

function portableProcessState(pid: number): ProcessState {
  if (!answersSignals(pid)) return { state: 'absent' };
  if (process.platform === 'win32') return { state: 'running', name: '', startedTicks: '' };
  try {
    const line = execFileSync('ps', ['-o', 'stat=,lstart=,comm=', '-p', String(pid)], {
      encoding: 'utf8',
      stdio: ['ignore', 'pipe', 'ignore'],
    });
    const [stat = '', ...rest] = line.trim().split(/\s+/);
    if (stat.startsWith('Z')) return { state: 'zombie' };
    const name = rest.slice(5).join(' ').split('/').at(-1) ?? '';
    return { state: 'running', name, startedTicks: rest.slice(0, 5).join(' ') };
  } catch {
    return { state: 'absent' };
  }
}

function answersSignals(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}
