import type { BuildStatus } from '../../../shared/contract/build.ts';
import { say } from './say.ts';

const TONES: Readonly<Record<BuildStatus, string>> = {
  planned: 'soft',
  started: 'usual',
  'on-hold': 'caution',
  complete: 'usual',
  'handed-over': 'strong',
  cancelled: 'soft',
};

export const statusName = (status: BuildStatus): string => say(`status-${status}`);

/** The status of a build in words, with an edge of its own. */
export function Status({ of }: { readonly of: BuildStatus }) {
  return (
    <span class="state" data-tone={TONES[of]}>
      {statusName(of)}
    </span>
  );
}
