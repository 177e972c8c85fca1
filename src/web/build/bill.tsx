import type { BillLine } from '../../../shared/contract/bill.ts';
import { read } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { addressOf } from '../api/request.ts';
import { formatDate, formatMoney, formatNumber } from '../language/format.ts';
import { formatQuantity } from '../language/units.ts';
import { Shown } from '../parts/shown.tsx';
import { Table } from '../parts/table.tsx';
import { say } from './say.ts';

/** The bill of a build by part, as it was priced. */
export function Bill({ buildId }: { readonly buildId: string }) {
  const bill = useLoaded(buildId, (signal) => read('/builds/:id/bill', { id: buildId, signal }));
  return (
    <section class="stack">
      <h2>{say('bill')}</h2>
      <Shown of={bill}>
        {({ pricedOn, amount, inKindAmount, lines }) => (
          <>
            <p>
              {say('priced-on', {
                date: formatDate(pricedOn),
                amount: formatMoney(amount),
                inKind: formatMoney(inKindAmount),
              })}
            </p>
            <p class="no-print">
              <a href={addressOf('/bills.csv', { buildId })} download>
                {say('bill-file')}
              </a>
            </p>
            {byPart(lines).map(([part, partLines]) => (
              <details key={part}>
                <summary>{part}</summary>
                <PartLines part={part} lines={partLines} />
              </details>
            ))}
          </>
        )}
      </Shown>
    </section>
  );
}

function byPart(lines: readonly BillLine[]): [string, BillLine[]][] {
  const parts = new Map<string, BillLine[]>();
  for (const line of lines) {
    const part = parts.get(line.part);
    if (part) part.push(line);
    else parts.set(line.part, [line]);
  }
  return [...parts];
}

function PartLines({
  part,
  lines,
}: {
  readonly part: string;
  readonly lines: readonly BillLine[];
}) {
  return (
    <Table
      caption={part}
      hidesCaption
      rows={lines}
      keyOf={({ lineCode, position }) => `${lineCode} ${position}`}
      columns={[
        { title: say('material'), isHead: true, cell: ({ materialName }) => materialName },
        {
          title: say('quantity'),
          isNumber: true,
          cell: ({ withWasteQuantity, unitCode }) => formatQuantity(withWasteQuantity, unitCode),
        },
        { title: say('rate'), isNumber: true, cell: ({ unitRate }) => formatNumber(unitRate, 6) },
        {
          title: say('amount'),
          isNumber: true,
          cell: ({ amount, isInKind }) => (
            <>
              {formatMoney(amount)}
              {isInKind ? ` (${say('in-kind')})` : ''}
            </>
          ),
        },
      ]}
    />
  );
}
