import type { Job } from '../../../shared/contract/job.ts';
import { type FollowedJob, isOver } from '../api/job.ts';
import { Button } from './button.tsx';
import { Failure } from './failure.tsx';

interface JobControlProps {
  readonly followed: FollowedJob;
  readonly startLabel: string;
  readonly cancelLabel: string;
  /** Where the job stands, in words. */
  readonly textOf: (job: Job) => string;
}

/** A button that starts long work; while it runs, how far it is and a way to cancel it. */
export function JobControl({ followed, startLabel, cancelLabel, textOf }: JobControlProps) {
  const job = followed.job.value;
  const failure = followed.failure.value;
  return (
    <>
      {job !== null && !isOver(job) ? (
        <>
          <progress
            aria-label={startLabel}
            {...(job.progress.total > 0
              ? { value: job.progress.done, max: job.progress.total }
              : {})}
          />
          <Button onClick={() => void followed.cancel()}>{cancelLabel}</Button>
        </>
      ) : (
        <Button onClick={() => void followed.start()}>{startLabel}</Button>
      )}
      <span role="status">{job ? textOf(job) : ''}</span>
      {failure === undefined ? null : <Failure error={failure} />}
    </>
  );
}
