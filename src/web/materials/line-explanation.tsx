import type { SupplyLineExplanation } from '../../../shared/contract/supply-plan.ts';
import { useLoaded } from '../api/loaded.ts';
import { request } from '../api/request.ts';
import { formatDate, formatMoney } from '../language/format.ts';
import { formatQuantity } from '../language/units.ts';
import { Shown } from '../parts/shown.tsx';
import { Table } from '../parts/table.tsx';
import { say } from './say.ts';

interface LineExplanationProps {
  readonly planId: string;
  readonly lineId: string;
}

/** Why a line buys from this supplier, in this week, this much; and what other offers would cost. */
export function LineExplanation({ planId, lineId }: LineExplanationProps) {
  const path = `/supply-plans/${planId}/lines/${lineId}/explanation`;
  const explanation = useLoaded(
    path,
    async (signal) => (await request<SupplyLineExplanation>('GET', path, { signal })).body,
  );
  return (
    <Shown of={explanation}>
      {({ line, covers, supplierReason, weekReason, quantityReason, alternatives }) => (
        <div class="stack">
          <Reason title={say('why-supplier')} text={supplierReason} />
          <Reason title={say('why-week')} text={weekReason} />
          <Reason title={say('why-quantity')} text={quantityReason} />
          <Table
            caption={say('covers')}
            isNarrow
            rows={covers}
            keyOf={({ periodStartsOn }) => periodStartsOn}
            columns={[
              {
                title: say('week'),
                isHead: true,
                cell: ({ periodStartsOn }) => formatDate(periodStartsOn),
              },
              {
                title: say('quantity'),
                isNumber: true,
                cell: ({ quantity }) => formatQuantity(quantity, line.unitCode),
              },
            ]}
          />
          {alternatives.length > 0 ? (
            <div>
              <h3>{say('alternatives')}</h3>
              <ul>
                {alternatives.map(({ offerId, supplierCode, packCode, dearerBy, reason }) => (
                  <li key={offerId}>
                    <strong>
                      {supplierCode} {packCode}
                    </strong>
                    {dearerBy ? `, ${say('dearer', { amount: formatMoney(dearerBy) })}` : ''}:{' '}
                    <span lang="en">{reason}</span>
                  </li>
                ))}
              </ul>
            </div>
          ) : null}
        </div>
      )}
    </Shown>
  );
}

function Reason({ title, text }: { readonly title: string; readonly text: string }) {
  return (
    <div>
      <h3>{title}</h3>
      <p lang="en">{text}</p>
    </div>
  );
}
