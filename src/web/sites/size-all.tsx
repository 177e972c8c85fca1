import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Job } from '../../../shared/contract/job.ts';
import { post, read } from '../api/client.ts';
import { Button } from '../parts/button.tsx';
import { Failure } from '../parts/failure.tsx';
import { say } from './say.ts';

/** How often a running job is asked how far it is. */
const ASK_EVERY_MS = 700;

const isOver = ({ state }: Job) =>
  state === 'succeeded' || state === 'failed' || state === 'cancelled';

interface SizeAllProps {
  readonly programmeId: string;
  readonly onSized: () => void;
}

/** Sizes every site of the programme in the background; shows how far it is, and can be cancelled. */
export function SizeAll({ programmeId, onSized }: SizeAllProps) {
  const job = useSignal<Job | null>(null);
  const failure = useSignal<unknown>(undefined);
  const present = job.value;
  const id = present?.id;
  useEffect(() => {
    if (id === undefined) return;
    const controller = new AbortController();
    const timer = setInterval(() => {
      read('/jobs/:id', { id, signal: controller.signal }).then(
        (next) => {
          job.value = next;
          if (!isOver(next)) return;
          clearInterval(timer);
          if (next.state === 'succeeded') onSized();
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

  const start = async () => {
    failure.value = undefined;
    try {
      job.value = (await post<Job>(`/programmes/${programmeId}/sizings`, undefined)).body;
    } catch (error) {
      failure.value = error;
    }
  };
  const cancel = async () => {
    if (id === undefined) return;
    try {
      await post(`/jobs/${id}/cancellations`, undefined);
    } catch (error) {
      failure.value = error;
    }
  };
  const isRunning = present !== null && !isOver(present);
  return (
    <>
      {isRunning ? (
        <>
          <progress
            aria-label={say('outcome')}
            value={present.progress.done}
            max={Math.max(1, present.progress.total)}
          />
          <Button onClick={() => void cancel()}>{say('cancel')}</Button>
        </>
      ) : (
        <Button onClick={() => void start()}>{say('size-all')}</Button>
      )}
      <span role="status">{present ? jobText(present) : ''}</span>
      {failure.value === undefined ? null : <Failure error={failure.value} />}
    </>
  );
}

function jobText({ state, progress, error }: Job): string {
  if (state === 'succeeded') return say('sizing-done');
  if (state === 'cancelled') return say('sizing-cancelled');
  if (state === 'failed') return say('sizing-failed', { detail: error?.detail ?? '' });
  return say('sizing-runs', progress);
}
