import type { Job } from '../../../shared/contract/job.ts';
import { useJob } from '../api/job.ts';
import { JobControl } from '../parts/job-control.tsx';
import { say } from './say.ts';

interface SizeAllProps {
  readonly programmeId: string;
  readonly onSized: () => void;
}

/** Sizes every site of the programme in the background; shows how far it is, and can be cancelled. */
export function SizeAll({ programmeId, onSized }: SizeAllProps) {
  const followed = useJob(`/programmes/${programmeId}/sizings`, undefined, onSized);
  return (
    <JobControl
      followed={followed}
      startLabel={say('size-all')}
      cancelLabel={say('cancel')}
      textOf={jobText}
    />
  );
}

function jobText({ state, progress, error }: Job): string {
  if (state === 'succeeded') return say('sizing-done');
  if (state === 'cancelled') return say('sizing-cancelled');
  if (state === 'failed') return say('sizing-failed', { detail: error?.detail ?? '' });
  return say('sizing-runs', progress);
}
