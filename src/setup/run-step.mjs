import { spawn } from 'node:child_process';
import { constants } from 'node:os';
import { projectFolder } from './project.mjs';
import { lockForChild } from './setup-lock.mjs';

/**
 * Runs a Node.js program to its end with the terminal's own output.
 *
 * SIGINT and SIGTERM are handed on, and this process ends only after the program did, so that an
 * interrupted installation never goes on behind our back.
 *
 * @param {string[]} command program file and arguments
 * @param {{ env?: NodeJS.ProcessEnv, output?: 'stdout' | 'stderr' }} [settings]
 * @returns {Promise<number>} the exit code
 */
export function runStep(command, { env = process.env, output = 'stdout' } = {}) {
  return new Promise((done) => {
    const [program = '', ...args] = command;
    const child = spawn(program, args, {
      cwd: projectFolder,
      env,
      stdio: ['inherit', output === 'stderr' ? 2 : 'inherit', 'inherit', ...lockForChild()],
      shell: process.platform === 'win32' && program === 'npm',
    });
    let interruption = 0;
    const handOn = (/** @type {NodeJS.Signals} */ signal) => {
      interruption = 128 + constants.signals[signal];
      child.kill(signal);
    };
    process.on('SIGINT', handOn).on('SIGTERM', handOn);
    const end = (/** @type {number} */ code) => {
      process.off('SIGINT', handOn).off('SIGTERM', handOn);
      if (interruption) process.exit(interruption);
      done(code);
    };
    child.on('error', (error) => {
      console.error(`${program} could not be started: ${error.message}`);
      end(127);
    });
    child.on('close', (code, signal) => {
      end(code ?? 128 + (signal ? constants.signals[signal] : 0));
    });
  });
}

/**
 * Like `runStep`, but ends this process with the program's exit code when that is not 0.
 *
 * @param {string[]} command
 * @param {{ env?: NodeJS.ProcessEnv, output?: 'stdout' | 'stderr' }} [settings]
 */
export async function requireStep(command, settings) {
  const code = await runStep(command, settings);
  if (code !== 0) process.exit(code);
}
