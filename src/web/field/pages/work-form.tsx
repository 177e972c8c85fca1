import { useSignal } from '@preact/signals';
import { formatNumber } from '../../language/format.ts';
import { Button } from '../../parts/button.tsx';
import { Field } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { crewId as chosenCrewId } from '../kept/season.ts';
import { say } from '../say.ts';
import { KeepForm } from './keep-form.tsx';
import { MaterialLine, type MaterialUse, NO_MATERIAL } from './material-line.tsx';
import { type StageAt, stageItem } from './stage-item.ts';

interface WorkFormProps {
  readonly at: StageAt;
  readonly crewId: string | null;
}

/** What a day of work took: people, hours of all together, materials used. */
export function WorkForm({ at, crewId }: WorkFormProps) {
  const people = useSignal('');
  const hours = useSignal('');
  const used = useSignal<readonly MaterialUse[]>([]);
  const crew = chosenCrewId.value || crewId;
  return (
    <details class="panel">
      <summary>
        <strong>{say('work')}</strong>
      </summary>
      {crew === null ? (
        <Notice kind="note" title={say('no-crew')} />
      ) : (
        <KeepForm
          submit={say('record-work')}
          photosOf="stage-record"
          make={(common) => [
            stageItem(at, common, {
              kind: 'work-recorded',
              value: `${formatNumber(people.value)} × ${formatNumber(hours.value)} h`,
              fields: {
                crewId: crew,
                peopleCount: Number(people.value),
                personHours: String(Number(hours.value)),
                ...(used.value.length > 0 ? { quantities: used.value } : {}),
              },
            }),
          ]}
          onKept={() => {
            people.value = '';
            hours.value = '';
            used.value = [];
          }}
        >
          <div class="two">
            <Field label={say('people')}>
              <input
                type="number"
                inputMode="numeric"
                min={1}
                max={200}
                step={1}
                required
                value={people.value}
                onInput={(event: Event) => {
                  people.value = (event.currentTarget as HTMLInputElement).value;
                }}
              />
            </Field>
            <Field label={say('hours')}>
              <input
                type="number"
                inputMode="decimal"
                min={0}
                max={people.value === '' ? undefined : Number(people.value) * 24}
                step={0.25}
                required
                value={hours.value}
                onInput={(event: Event) => {
                  hours.value = (event.currentTarget as HTMLInputElement).value;
                }}
              />
            </Field>
          </div>
          {used.value.map((line, index) => (
            <MaterialLine
              key={index}
              label={say('used-material')}
              line={line}
              onChange={(next) => {
                used.value = used.value.with(index, next);
              }}
            />
          ))}
          <Button
            onClick={() => {
              used.value = [...used.value, NO_MATERIAL];
            }}
          >
            {say('add-material')}
          </Button>
        </KeepForm>
      )}
    </details>
  );
}
