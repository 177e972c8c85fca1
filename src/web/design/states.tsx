import type { ApprovalState } from '../../../shared/contract/design-revision.ts';
import type { CheckOutcome } from '../../../shared/structure/check-result.ts';
import { say } from './say.ts';

const OUTCOME_TONES = { pass: 'usual', review: 'caution', fail: 'fail' } as const;

/** What a check found, in words with an edge of its own. */
export function Outcome({ of }: { readonly of: CheckOutcome }) {
  return (
    <span class="state" data-tone={OUTCOME_TONES[of]}>
      {say(`outcome-${of}`)}
    </span>
  );
}

const APPROVAL_TONES = {
  undecided: 'soft',
  approved: 'strong',
  refused: 'fail',
  withdrawn: 'caution',
} as const;

/** Where the engineer's decision stands. */
export function Approval({ of }: { readonly of: ApprovalState }) {
  return (
    <span class="state" data-tone={APPROVAL_TONES[of]}>
      {say(`approval-${of}`)}
    </span>
  );
}
