import { setTimeout as delay } from 'node:timers/promises';

/**
 * Asks again and again until there is an answer or the deadline passes.
 *
 * @returns the first answer that is not `undefined`, or `undefined` after `timeoutMs`.
 */
export async function waitUntil<T>(
  ask: () => Promise<T | undefined> | T | undefined,
  timeoutMs: number,
  intervalMs = 20,
): Promise<T | undefined> {
  const deadline = performance.now() + timeoutMs;
  for (;;) {
    const answer = await ask();
    if (answer !== undefined) return answer;
    if (performance.now() >= deadline) return undefined;
    await delay(intervalMs);
  }
}
