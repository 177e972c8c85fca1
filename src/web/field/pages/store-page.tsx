import { useSignal } from '@preact/signals';
import { Button } from '../../parts/button.tsx';
import { Empty } from '../../parts/empty.tsx';
import { Field } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { say as sayPart } from '../../parts/say.ts';
import { may } from '../../session/session.ts';
import { season } from '../kept/season.ts';
import { say } from '../say.ts';
import { IssueForm } from './issue-form.tsx';
import { ReceiptForm } from './receipt-form.tsx';
import { StoreOutbox } from './store-outbox.tsx';

/** Issue from a store to a build, and receipt into it. */
export function StorePage() {
  const { stores } = season.value;
  const chosen = useSignal('');
  const isReceipt = useSignal(false);
  const storeId = chosen.value || (stores[0]?.id ?? '');
  const store = stores.find(({ id }) => id === storeId);
  if (!store) return <Empty title={say('no-stores')} />;
  return (
    <>
      <h1>{say('store')}</h1>
      <Notice kind="caution">{say('store-caution')}</Notice>
      <Field label={say('choose-store')}>
        <select
          value={storeId}
          onChange={(event: Event) => {
            chosen.value = (event.currentTarget as HTMLSelectElement).value;
          }}
        >
          {stores.map(({ id, code, name }) => (
            <option key={id} value={id}>
              {code} {name}
            </option>
          ))}
        </select>
      </Field>
      {may('stock:write') ? (
        <>
          <div class="two">
            {([false, true] as const).map((each) => (
              <Button
                key={String(each)}
                pressed={isReceipt.value === each}
                kind={isReceipt.value === each ? 'main' : 'usual'}
                onClick={() => {
                  isReceipt.value = each;
                }}
              >
                {say(each ? 'receive' : 'issue')}
              </Button>
            ))}
          </div>
          {isReceipt.value ? (
            <ReceiptForm key={storeId} store={store} />
          ) : (
            <IssueForm key={storeId} store={store} />
          )}
        </>
      ) : (
        <Notice kind="note" title={sayPart('no-right')}>
          {sayPart('no-right-detail')}
        </Notice>
      )}
      <StoreOutbox />
    </>
  );
}
