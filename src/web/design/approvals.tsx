import { useSignal } from '@preact/signals';
import type { DesignDecision, DesignRevision } from '../../../shared/contract/design-revision.ts';
import { post } from '../api/client.ts';
import { newKey } from '../api/request.ts';
import { formatInstant } from '../language/format.ts';
import { Button } from '../parts/button.tsx';
import { Dialog } from '../parts/dialog.tsx';
import { Failure } from '../parts/failure.tsx';
import { Field } from '../parts/field.tsx';
import { Notice } from '../parts/notice.tsx';
import { may, timeZone, who } from '../session/session.ts';
import { say } from './say.ts';

interface ApprovalsProps {
  readonly revision: DesignRevision;
  readonly onDecided: () => void;
}

type Decision = DesignDecision['decision'];

const ACTS = { approved: 'approve', refused: 'refuse', withdrawn: 'withdraw' } as const;

/** What engineers decided, and the decision itself for those who may make it. */
export function Approvals({ revision, onDecided }: ApprovalsProps) {
  const open = useSignal<Decision | null>(null);
  const isOwn = revision.createdById === who.value?.person.id;
  const choices: readonly Decision[] =
    revision.approval === 'approved' ? ['withdrawn'] : ['approved', 'refused'];
  return (
    <section class="panel">
      <h2>{say('approval')}</h2>
      {revision.decisions.length === 0 ? <p>{say('approval-undecided')}</p> : null}
      <ul class="plain-list stack">
        {revision.decisions.map((decision) => (
          <li key={decision.id}>
            <strong>
              {say('decided', {
                decision: say(`approval-${decision.decision}`),
                engineer: decision.engineerName,
                number: decision.registrationNumber,
                date: formatInstant(decision.decidedAt, timeZone.value),
              })}
            </strong>
            <p>{decision.remarks}</p>
          </li>
        ))}
      </ul>
      {isOwn && may('designs:approve') ? <p>{say('own-revision')}</p> : null}
      {may('designs:approve') && (!isOwn || revision.approval === 'approved') ? (
        <div class="row no-print">
          {choices.map((choice) => (
            <Button
              key={choice}
              kind={choice === 'approved' ? 'main' : 'usual'}
              onClick={() => {
                open.value = choice;
              }}
            >
              {say(`decide-${ACTS[choice]}`)}
            </Button>
          ))}
        </div>
      ) : null}
      <Dialog
        title={say('decide')}
        isOpen={open.value !== null}
        onClose={() => {
          open.value = null;
        }}
      >
        {open.value ? (
          <Decide
            revision={revision}
            decision={open.value}
            onDecided={() => {
              open.value = null;
              onDecided();
            }}
          />
        ) : null}
      </Dialog>
    </section>
  );
}

interface DecideProps extends ApprovalsProps {
  readonly decision: Decision;
}

function Decide({ revision, decision, onDecided }: DecideProps) {
  const remarks = useSignal('');
  const isSending = useSignal(false);
  const failure = useSignal<unknown>(undefined);
  const key = useSignal(newKey());
  const send = async () => {
    isSending.value = true;
    failure.value = undefined;
    try {
      await post(
        `/design-revisions/${revision.id}/decisions`,
        { decision, remarks: remarks.value },
        { idempotencyKey: key.value },
      );
      onDecided();
    } catch (error) {
      failure.value = error;
      key.value = newKey();
    } finally {
      isSending.value = false;
    }
  };
  const { reviewTriggers, standingSentence } = revision.result;
  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        void send();
      }}
    >
      <p>{say('decide-hint')}</p>
      {who.value?.person.engineerRegistrationNumber ? null : (
        <Notice kind="problem" title={say('not-registered')} />
      )}
      <Notice kind="caution" title={reviewTriggers.length > 0 ? say('triggers') : undefined}>
        <ul lang="en">
          {reviewTriggers.map(({ id, reason }) => (
            <li key={id}>{reason}</li>
          ))}
          <li>{standingSentence}</li>
        </ul>
      </Notice>
      <Field label={say('remarks')}>
        <textarea
          value={remarks}
          maxLength={10_000}
          onInput={(event) => {
            remarks.value = event.currentTarget.value;
          }}
        />
      </Field>
      {failure.value === undefined ? null : <Failure error={failure.value} />}
      <Button kind="main" type="submit" disabled={isSending.value}>
        {isSending.value ? say('saving') : say(`decide-${ACTS[decision]}`)}
      </Button>
    </form>
  );
}
