import { useSignal } from '@preact/signals';
import type { SupplyPlanLine } from '../../../shared/contract/supply-plan.ts';
import { readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { addressOf } from '../api/request.ts';
import { formatDate, formatMoney, formatNumber } from '../language/format.ts';
import { formatQuantity } from '../language/units.ts';
import { Button } from '../parts/button.tsx';
import { Dialog } from '../parts/dialog.tsx';
import { Shown } from '../parts/shown.tsx';
import { Table } from '../parts/table.tsx';
import { LineExplanation } from './line-explanation.tsx';
import { say } from './say.ts';

/** Lines that show at once. */
const PAGE_COUNT = 100;

/** What to order from whom and by when; each line can say why it is as it is. */
export function PlanLines({ planId }: { readonly planId: string }) {
  const lines = useLoaded(planId, (signal) =>
    readAll('/supply-plans/:id/lines', { id: planId, signal }),
  );
  const asked = useSignal<SupplyPlanLine | null>(null);
  const pageCount = useSignal(1);
  const line = asked.value;
  return (
    <section class="stack">
      <h2>{say('order-lines')}</h2>
      <p class="no-print">
        <a href={addressOf(`/supply-plans/${planId}/lines.csv`)} download>
          {say('lines-file')}
        </a>
      </p>
      <Shown of={lines}>
        {(all) => (
          <>
            <Table
              caption={say('order-lines')}
              hidesCaption
              rows={all.slice(0, pageCount.value * PAGE_COUNT)}
              keyOf={({ id }) => id}
              columns={[
                { title: say('material'), isHead: true, cell: ({ materialName }) => materialName },
                { title: say('supplier'), cell: ({ supplierCode }) => supplierCode },
                {
                  title: say('to-village'),
                  cell: ({ deliveryVillageCode }) => deliveryVillageCode,
                },
                { title: say('place-by'), cell: ({ placeBy }) => formatDate(placeBy) },
                { title: say('arrives'), cell: ({ arrivesOn }) => formatDate(arrivesOn) },
                {
                  title: say('packs'),
                  isNumber: true,
                  cell: ({ packCount }) => formatNumber(packCount),
                },
                {
                  title: say('quantity'),
                  isNumber: true,
                  cell: ({ quantity, unitCode }) => formatQuantity(quantity, unitCode),
                },
                {
                  title: say('amount'),
                  isNumber: true,
                  cell: ({ amount }) => formatMoney(amount),
                },
                {
                  title: say('why'),
                  cell: (each) => (
                    <Button
                      kind="plain"
                      onClick={() => {
                        asked.value = each;
                      }}
                    >
                      {say('why')}
                      <span class="unseen"> {each.materialName}</span>
                    </Button>
                  ),
                },
              ]}
            />
            {all.length > pageCount.value * PAGE_COUNT ? (
              <Button
                onClick={() => {
                  pageCount.value += 1;
                }}
              >
                {say('more')}
              </Button>
            ) : null}
          </>
        )}
      </Shown>
      <Dialog
        title={say('why-of', {
          material: line?.materialName ?? '',
          supplier: line?.supplierCode ?? '',
        })}
        isOpen={line !== null}
        onClose={() => {
          asked.value = null;
        }}
      >
        {line ? <LineExplanation planId={planId} lineId={line.id} /> : null}
      </Dialog>
    </section>
  );
}
