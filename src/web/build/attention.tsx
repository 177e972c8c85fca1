import type { BuildProgress } from '../../../shared/contract/stage-record.ts';
import { formatDate } from '../language/format.ts';
import { Notice } from '../parts/notice.tsx';
import { faultText } from '../season/held-reason.ts';
import { say } from './say.ts';

/** Open holds and what was found not to be as it should, with what was decided about it. */
export function Attention({ progress }: { readonly progress: BuildProgress }) {
  const { openHolds, nonConformities, stages } = progress;
  if (openHolds.length === 0 && nonConformities.length === 0) return null;
  const titleOf = (code: string) =>
    stages.find(({ stageCode }) => stageCode === code)?.title ?? code;
  return (
    <Notice kind="caution" title={say('attention')}>
      <ul>
        {openHolds.map((code) => (
          <li key={code}>{say('open-hold', { stage: titleOf(code) })}</li>
        ))}
        {nonConformities.map((fault) => (
          <li key={fault.recordId}>
            {say(fault.state === 'closed' ? 'nonconformity-closed' : 'nonconformity', {
              stage: titleOf(fault.stageCode),
              date: formatDate(fault.observedOn),
              detail: faultText(fault, progress),
            })}
            {fault.decision ? (
              <p>
                {say('decision', {
                  decision: say(`decision-${fault.decision.decision}`),
                  reason: fault.decision.reason,
                })}
              </p>
            ) : null}
          </li>
        ))}
      </ul>
    </Notice>
  );
}
