import { useSignal } from '@preact/signals';
import { say as sayBuild } from '../../build/say.ts';
import { Field } from '../../parts/field.tsx';
import { hasRole } from '../../session/session.ts';
import { say } from '../say.ts';
import { KeepForm } from './keep-form.tsx';
import { type StageAt, stageItem } from './stage-item.ts';

interface HoldFormsProps {
  readonly at: StageAt;
  readonly releasedBy: string | null;
}

/** Judging a hold point: work goes on, or stops with a reason. */
export function HoldForms({ at, releasedBy }: HoldFormsProps) {
  const reason = useSignal('');
  const key = `role-${releasedBy}`;
  const role = sayBuild.has(key) ? sayBuild(key) : (releasedBy ?? '');
  return (
    <section class="panel">
      <h2>{say('hold')}</h2>
      {releasedBy ? <p>{say('hold-by', { role })}</p> : null}
      {releasedBy && !hasRole(releasedBy) ? <p class="small">{say('hold-not-you')}</p> : null}
      <details>
        <summary>
          <strong>{say('release-hold')}</strong>
        </summary>
        <KeepForm
          submit={say('release-hold')}
          photosOf="stage-record"
          make={(common) => [stageItem(at, common, { kind: 'hold-released' })]}
        />
      </details>
      <details>
        <summary>
          <strong>{say('refuse-hold')}</strong>
        </summary>
        <KeepForm
          submit={say('refuse-hold')}
          photosOf="stage-record"
          hasNote={false}
          make={(common) => [
            stageItem(at, common, {
              kind: 'hold-refused',
              fields: { reason: reason.value.trim() },
            }),
          ]}
          onKept={() => {
            reason.value = '';
          }}
        >
          <Field label={say('refuse-reason')}>
            <textarea
              required
              maxLength={500}
              rows={2}
              value={reason.value}
              onInput={(event: Event) => {
                reason.value = (event.currentTarget as HTMLTextAreaElement).value;
              }}
            />
          </Field>
        </KeepForm>
      </details>
    </section>
  );
}
