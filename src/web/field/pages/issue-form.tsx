import { useSignal } from '@preact/signals';
import { v7 as uuidv7 } from 'uuid';
import type { Store } from '../../../../shared/contract/store.ts';
import { Button } from '../../parts/button.tsx';
import { Field } from '../../parts/field.tsx';
import { buildsOfCrew, progressById, season } from '../kept/season.ts';
import { say } from '../say.ts';
import { InStore } from './in-store.tsx';
import { KeepForm } from './keep-form.tsx';
import { MaterialLine, type MaterialUse, NO_MATERIAL } from './material-line.tsx';

/** An issue slip: what goes from the store to one build. */
export function IssueForm({ store }: { readonly store: Store }) {
  const buildId = useSignal('');
  const stageCode = useSignal('');
  const number = useSignal('');
  const lines = useSignal<readonly MaterialUse[]>([NO_MATERIAL]);
  const build = buildsOfCrew.value.find(({ id }) => id === buildId.value);
  const stages = progressById.value.get(buildId.value)?.stages ?? [];
  const nameOf = (id: string) => season.value.materials.find((each) => each.id === id)?.name ?? '';
  return (
    <KeepForm
      submit={say('record-issue')}
      hasNote={false}
      make={({ observedOn }) => {
        const id = uuidv7();
        return [
          {
            recordId: id,
            path: '/v1/stock-issues',
            observedOn,
            body: {
              id,
              storeId: store.id,
              buildId: buildId.value,
              observedOn,
              documentNumber: number.value.trim(),
              lines: lines.value.map(({ materialId, quantity }) => ({
                materialId,
                quantity,
                ...(stageCode.value ? { stageCode: stageCode.value } : {}),
              })),
            },
            title: {
              kind: 'stock-issue',
              at: `${store.code} → ${build?.code ?? ''}`,
              of: lines.value.map(({ materialId }) => nameOf(materialId)).join(', '),
              value: lines.value.map(({ quantity }) => quantity).join(', '),
              buildId: buildId.value,
            },
          },
        ];
      }}
      onKept={() => {
        lines.value = [NO_MATERIAL];
        number.value = '';
      }}
    >
      <Field label={say('build')}>
        <select
          required
          value={buildId.value}
          onChange={(event: Event) => {
            buildId.value = (event.currentTarget as HTMLSelectElement).value;
            stageCode.value = '';
          }}
        >
          <option value="" />
          {buildsOfCrew.value.map(({ id, code, villageName }) => (
            <option key={id} value={id}>
              {code} {villageName}
            </option>
          ))}
        </select>
      </Field>
      {stages.length > 0 ? (
        <Field label={say('stage')}>
          <select
            value={stageCode.value}
            onChange={(event: Event) => {
              stageCode.value = (event.currentTarget as HTMLSelectElement).value;
            }}
          >
            <option value="" />
            {stages.map((stage) => (
              <option key={stage.stageCode} value={stage.stageCode} lang="en">
                {stage.title}
              </option>
            ))}
          </select>
        </Field>
      ) : null}
      {lines.value.map((line, index) => (
        <div class="field-form" key={index}>
          <MaterialLine
            label={say('material')}
            line={line}
            onChange={(next) => {
              lines.value = lines.value.with(index, next);
            }}
          />
          <InStore storeId={store.id} line={line} />
        </div>
      ))}
      <Button
        onClick={() => {
          lines.value = [...lines.value, NO_MATERIAL];
        }}
      >
        {say('add-material')}
      </Button>
      <Field label={say('document-number')}>
        <input
          maxLength={100}
          value={number.value}
          onInput={(event: Event) => {
            number.value = (event.currentTarget as HTMLInputElement).value;
          }}
        />
      </Field>
    </KeepForm>
  );
}
