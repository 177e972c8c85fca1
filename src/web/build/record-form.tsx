import { useSignal } from '@preact/signals';
import type { StageRecord } from '../../../shared/contract/stage-record.ts';
import { post } from '../api/client.ts';
import { fieldError } from '../api/refusal.ts';
import { newKey } from '../api/request.ts';
import { Button } from '../parts/button.tsx';
import { Failure } from '../parts/failure.tsx';
import { Field } from '../parts/field.tsx';
import { Notice } from '../parts/notice.tsx';
import { today } from '../session/today.ts';
import { limitsText } from './check-reading.ts';
import { say } from './say.ts';
import type { Stage } from './stages.tsx';

/** What the office records; work and decisions on non-conformities have more to them. */
const KINDS = ['started', 'finished', 'check-recorded', 'hold-released', 'hold-refused'] as const;
type Kind = (typeof KINDS)[number];

interface RecordFormProps {
  readonly buildId: string;
  readonly stage: Stage;
  readonly onRecorded: () => void;
}

/** The fact that the stage is most likely waiting for. */
function likelyKind({ status, checks, readings }: Stage): Kind {
  if (status === 'not-started') return 'started';
  if (status === 'awaiting-release') return 'hold-released';
  return readings.length < checks.length ? 'check-recorded' : 'finished';
}

/** Records what was seen of a stage; the service refuses what its rules forbid. */
export function RecordForm({ buildId, stage, onRecorded }: RecordFormProps) {
  const kind = useSignal<Kind>(likelyKind(stage));
  const observedOn = useSignal(today());
  const checkCode = useSignal(stage.checks[0]?.code ?? '');
  const value = useSignal('');
  const reason = useSignal('');
  const note = useSignal('');
  const isSending = useSignal(false);
  const failure = useSignal<unknown>(undefined);
  const check = stage.checks.find(({ code }) => code === checkCode.value);
  const kinds = KINDS.filter(
    (each) =>
      (each !== 'check-recorded' || stage.checks.length > 0) &&
      (!each.startsWith('hold') || stage.holdPoint !== 'none'),
  );

  const send = async () => {
    isSending.value = true;
    failure.value = undefined;
    const body = {
      stageCode: stage.stageCode,
      kind: kind.value,
      observedOn: observedOn.value,
      note: note.value,
      ...(kind.value === 'check-recorded'
        ? { checkCode: checkCode.value, measuredValue: Number(value.value) }
        : {}),
      ...(kind.value === 'hold-refused' ? { reason: reason.value } : {}),
    };
    try {
      await post<StageRecord>(`/builds/${buildId}/stage-records`, body, {
        idempotencyKey: newKey(),
      });
      onRecorded();
    } catch (error) {
      failure.value = error;
    } finally {
      isSending.value = false;
    }
  };

  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        void send();
      }}
    >
      {stage.cautions.length > 0 ? (
        <Notice kind="caution">
          <ul lang="en">
            {stage.cautions.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ul>
        </Notice>
      ) : null}
      <Field label={say('kind')}>
        <select
          value={kind.value}
          onChange={(event) => {
            const chosen = KINDS.find((each) => each === event.currentTarget.value);
            if (chosen) kind.value = chosen;
          }}
        >
          {kinds.map((each) => (
            <option key={each} value={each}>
              {say(`kind-${each}`)}
            </option>
          ))}
        </select>
      </Field>
      <Field label={say('seen-on')} error={fieldError(failure.value, '/observedOn')}>
        <input
          type="date"
          required
          max={today()}
          value={observedOn}
          onInput={(event) => {
            observedOn.value = event.currentTarget.value;
          }}
        />
      </Field>
      {kind.value === 'check-recorded' ? (
        <>
          <Field label={say('check')} hint={check ? limitsText(check) : undefined}>
            <select
              value={checkCode}
              onChange={(event) => {
                checkCode.value = event.currentTarget.value;
                value.value = '';
              }}
            >
              {stage.checks.map(({ code, title }) => (
                <option key={code} value={code} lang="en">
                  {title}
                </option>
              ))}
            </select>
          </Field>
          {check?.unit === 'yes-no' ? (
            <Field label={say('value')} error={fieldError(failure.value, '/measuredValue')}>
              <select
                required
                value={value}
                onChange={(event) => {
                  value.value = event.currentTarget.value;
                }}
              >
                <option value="" />
                <option value="1">{say('yes')}</option>
                <option value="0">{say('no')}</option>
              </select>
            </Field>
          ) : (
            <Field
              label={say('value-in', { unit: check?.unit ?? '' })}
              error={fieldError(failure.value, '/measuredValue')}
            >
              <input
                type="number"
                inputMode="decimal"
                step="any"
                required
                value={value}
                onInput={(event) => {
                  value.value = event.currentTarget.value;
                }}
              />
            </Field>
          )}
        </>
      ) : null}
      {kind.value === 'hold-refused' ? (
        <Field label={say('reason')} error={fieldError(failure.value, '/reason')}>
          <textarea
            required
            maxLength={500}
            value={reason}
            onInput={(event) => {
              reason.value = event.currentTarget.value;
            }}
          />
        </Field>
      ) : null}
      <Field label={say('note')}>
        <textarea
          maxLength={10_000}
          value={note}
          onInput={(event) => {
            note.value = event.currentTarget.value;
          }}
        />
      </Field>
      {failure.value === undefined ? null : <Failure error={failure.value} />}
      <Button kind="main" type="submit" disabled={isSending.value}>
        {say(isSending.value ? 'sending' : 'send')}
      </Button>
    </form>
  );
}
