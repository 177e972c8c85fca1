import { readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { formatQuantity } from '../language/units.ts';
import { Notice } from '../parts/notice.tsx';
import { Shown } from '../parts/shown.tsx';
import { Table } from '../parts/table.tsx';
import { say } from './say.ts';

/** What each store holds by its books. */
export function Stock() {
  const balances = useLoaded('stock', (signal) => readAll('/stock-balances', { signal }));
  return (
    <section class="stack">
      <h2>{say('stock')}</h2>
      <Notice kind="caution">
        <p>{say('stock-caution')}</p>
      </Notice>
      <Shown of={balances}>
        {(all) =>
          all.length === 0 ? (
            <p class="soft">{say('no-stock')}</p>
          ) : (
            <Table
              caption={say('stock')}
              hidesCaption
              rows={all}
              keyOf={({ storeId, materialId }) => `${storeId} ${materialId}`}
              columns={[
                { title: say('store'), cell: ({ storeCode }) => storeCode },
                { title: say('material'), isHead: true, cell: ({ materialName }) => materialName },
                {
                  title: say('quantity'),
                  isNumber: true,
                  cell: ({ quantity, unitCode }) => formatQuantity(quantity, unitCode, 6),
                },
              ]}
            />
          )
        }
      </Shown>
    </section>
  );
}
