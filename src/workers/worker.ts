import { TASKS, type TaskName } from './registry.ts';
import { packThrown, type Thrown } from './thrown.ts';

export interface Call {
  readonly name: TaskName;
  readonly payload: unknown;
}

export type Outcome =
  | { readonly ok: true; readonly value: unknown }
  | { readonly ok: false; readonly thrown: Thrown };

/** The program of every worker thread: runs the task that the call names. */
export default async function work({ name, payload }: Call): Promise<Outcome> {
  try {
    const task = (await TASKS[name]()) as (input: unknown) => unknown;
    return { ok: true, value: await task(payload) };
  } catch (error) {
    const thrown = packThrown(error);
    if (!thrown) throw error;
    return { ok: false, thrown };
  }
}
