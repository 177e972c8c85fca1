import { useSignal } from '@preact/signals';
import { isWithinLimits } from '../../../../shared/scheduling/stage-state.ts';
import { lastReading, limitsText, type StageCheck, valueText } from '../../build/check-reading.ts';
import { formatDate } from '../../language/format.ts';
import { Field } from '../../parts/field.tsx';
import { Mark } from '../../parts/mark.tsx';
import type { Stage } from '../kept/stage-on-phone.ts';
import { say } from '../say.ts';
import { KeepForm } from './keep-form.tsx';
import { type StageAt, stageItem } from './stage-item.ts';

interface CheckFormsProps {
  readonly at: StageAt;
  readonly stage: Stage;
}

/** The checks of a stage: what was measured against its limits, told before it is kept. */
export function CheckForms({ at, stage }: CheckFormsProps) {
  return (
    <section class="panel">
      <h2>{say('checks')}</h2>
      {stage.checks.map((check) => (
        <CheckForm key={check.code} at={at} stage={stage} check={check} />
      ))}
    </section>
  );
}

function CheckForm({ at, stage, check }: CheckFormsProps & { readonly check: StageCheck }) {
  const text = useSignal('');
  const value = text.value.trim() === '' ? Number.NaN : Number(text.value);
  const isNumber = Number.isFinite(value);
  const isGood = check.unit === 'yes-no' ? value === 1 : isWithinLimits(check as never, value);
  const last = lastReading(stage, check);
  return (
    <details>
      <summary>
        <strong lang="en">{check.title}</strong>{' '}
        <span class="small soft">
          {limitsText(check)}
          {last
            ? ` · ${say('last-reading', {
                value: valueText(check, last.measuredValue),
                date: formatDate(last.observedOn),
              })}`
            : ''}
        </span>
      </summary>
      <KeepForm
        submit={say('record-check')}
        photosOf="stage-record"
        make={(common) => [
          stageItem(at, common, {
            kind: 'check-recorded',
            of: check.title,
            checkCode: check.code,
            value: valueText(check, value),
            fields: { measuredValue: value },
          }),
        ]}
        onKept={() => {
          text.value = '';
        }}
      >
        {check.unit === 'yes-no' ? (
          <fieldset class="choice" data-two>
            <legend>{say('measured')}</legend>
            {(['1', '0'] as const).map((each) => (
              <label key={each}>
                <input
                  type="radio"
                  name={`${at.buildId} ${check.code}`}
                  required
                  checked={text.value === each}
                  onChange={() => {
                    text.value = each;
                  }}
                />
                {say(each === '1' ? 'yes' : 'no')}
              </label>
            ))}
          </fieldset>
        ) : (
          <Field label={say('measured-in', { unit: check.unit })} hint={limitsText(check)}>
            <input
              type="number"
              inputMode="decimal"
              step="any"
              required
              value={text.value}
              onInput={(event: Event) => {
                text.value = (event.currentTarget as HTMLInputElement).value;
              }}
            />
          </Field>
        )}
        {isNumber ? (
          <p class="row" role="status">
            <Mark of={isGood ? 'pass' : 'problem'} />
            <strong>{say(isGood ? 'within-now' : 'outside-now')}</strong>
          </p>
        ) : null}
      </KeepForm>
    </details>
  );
}
