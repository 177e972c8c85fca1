import type { BuildProgress } from '../../../shared/contract/stage-record.ts';
import { say } from './say.ts';

export type StageState = BuildProgress['stages'][number]['status'];

/** Each state has a shape of its own: empty ring, half ring, gate, crossed square, filled tick. */
const SHAPES: Readonly<Record<StageState, string>> = {
  'not-started': 'M11 3a8 8 0 1 0 .01 0',
  'in-progress': 'M11 3a8 8 0 1 0 .01 0M11 3v16M11 7h6M11 11h8M11 15h6',
  'awaiting-release': 'M4 19V5M18 19V5M4 8h14M4 14h14',
  'in-rework': 'M18 8a8 8 0 1 0 1 4M18 3v5h-5',
  nonconforming: 'M3 3h16v16H3zM7 7l8 8M15 7l-8 8',
  accepted: 'M11 3a8 8 0 1 0 .01 0M6.500 11.500l3.200 3.200 6-7',
};

const TONES: Readonly<Record<StageState, string>> = {
  'not-started': 'soft',
  'in-progress': 'usual',
  'awaiting-release': 'caution',
  'in-rework': 'caution',
  nonconforming: 'fail',
  accepted: 'strong',
};

/** Where a stage stands, as a shape and in words. */
export function StageSign({ of }: { readonly of: StageState }) {
  return (
    <span class="state" data-tone={TONES[of]}>
      <svg viewBox="0 0 22 22" width="18" height="18" aria-hidden="true">
        <path d={SHAPES[of]} fill="none" stroke="currentColor" stroke-width="2" />
      </svg>
      {say(`stage-${of}`)}
    </span>
  );
}
