import { type Signal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Job } from '../../../shared/contract/job.ts';
import { post, read } from './client.ts';

/** How often a running job is asked how far it is. */
const ASK_EVERY_MS = 700;

export const isOver = ({ state }: Job): boolean =>
  state === 'succeeded' || state === 'failed' || state === 'cancelled';

export interface FollowedJob {
  /** The job as last heard of; null before the first start. */
  readonly job: Signal<Job | null>;
  readonly failure: Signal<unknown>;
  start(): Promise<void>;
  cancel(): Promise<void>;
}

/** Starts work that goes on in the service, follows it, and can cancel it. */
export function useJob(path: string, body: unknown, onDone: (job: Job) => void): FollowedJob {
  const job = useSignal<Job | null>(null);
  const failure = useSignal<unknown>(undefined);
  const id = job.value?.id;
  useEffect(() => {
    if (id === undefined) return;
    const controller = new AbortController();
    const timer = setInterval(() => {
      read('/jobs/:id', { id, signal: controller.signal }).then(
        (next) => {
          job.value = next;
          if (!isOver(next)) return;
          clearInterval(timer);
          if (next.state === 'succeeded') onDone(next);
        },
        (error: unknown) => {
          if (!controller.signal.aborted) failure.value = error;
        },
      );
    }, ASK_EVERY_MS);
    return () => {
      clearInterval(timer);
      controller.abort();
    };
  }, [id]);

  const attempt = async (work: () => Promise<void>) => {
    failure.value = undefined;
    try {
      await work();
    } catch (error) {
      failure.value = error;
    }
  };
  return {
    job,
    failure,
    start: () =>
      attempt(async () => {
        job.value = (await post<Job>(path, body)).body;
      }),
    cancel: () =>
      attempt(async () => {
        if (id !== undefined) await post(`/jobs/${id}/cancellations`, undefined);
      }),
  };
}
