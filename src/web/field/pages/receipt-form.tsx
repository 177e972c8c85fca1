import { useSignal } from '@preact/signals';
import { v7 as uuidv7 } from 'uuid';
import type { Store } from '../../../../shared/contract/store.ts';
import { Field } from '../../parts/field.tsx';
import { season } from '../kept/season.ts';
import { say } from '../say.ts';
import { KeepForm } from './keep-form.tsx';
import { MaterialLine, type MaterialUse, NO_MATERIAL } from './material-line.tsx';

/** What came into the store without an order. */
export function ReceiptForm({ store }: { readonly store: Store }) {
  const line = useSignal<MaterialUse>(NO_MATERIAL);
  const number = useSignal('');
  const material = season.value.materials.find(({ id }) => id === line.value.materialId);
  return (
    <KeepForm
      submit={say('record-receipt')}
      hasNote={false}
      make={({ observedOn }) => {
        const id = uuidv7();
        const { materialId, quantity } = line.value;
        return [
          {
            recordId: id,
            path: '/v1/stock-entries',
            observedOn,
            body: {
              id,
              kind: 'receive',
              storeId: store.id,
              materialId,
              quantity,
              observedOn,
              documentNumber: number.value.trim(),
            },
            title: {
              kind: 'stock-receive',
              at: store.code,
              of: material?.name ?? '',
              value: quantity,
            },
          },
        ];
      }}
      onKept={() => {
        line.value = NO_MATERIAL;
        number.value = '';
      }}
    >
      <p class="small">{say('receipt-hint')}</p>
      <MaterialLine
        label={say('material')}
        line={line.value}
        onChange={(next) => {
          line.value = next;
        }}
      />
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
