import type { MaterialNeed } from '../../../shared/contract/material-needs.ts';
import { readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { addressOf } from '../api/request.ts';
import { formatDate, formatNumber } from '../language/format.ts';
import { formatQuantity } from '../language/units.ts';
import { Empty } from '../parts/empty.tsx';
import { Field } from '../parts/field.tsx';
import { Scrolled } from '../parts/scrolled.tsx';
import { Shown } from '../parts/shown.tsx';
import { query, setQuery } from '../route/address.ts';
import { say } from './say.ts';

/** The needs of one village, a row a material and a column a week. */
export function Needs({ programmeId }: { readonly programmeId: string }) {
  const villages = useLoaded('villages', (signal) => readAll('/villages', { signal }));
  const wanted = query.value.get('village');
  return (
    <section class="stack">
      <h2>{say('needs')}</h2>
      <p class="small soft">{say('needs-hint')}</p>
      <Shown of={villages}>
        {(all) => {
          const village = all.find(({ id }) => id === wanted) ?? all[0];
          if (!village) return null;
          return (
            <>
              <div class="row no-print">
                <Field label={say('village')}>
                  <select
                    value={village.id}
                    onChange={(event) => setQuery({ village: event.currentTarget.value })}
                  >
                    {all.map(({ id, name }) => (
                      <option key={id} value={id}>
                        {name}
                      </option>
                    ))}
                  </select>
                </Field>
                <a href={addressOf(`/programmes/${programmeId}/material-needs.csv`)} download>
                  {say('needs-file')}
                </a>
              </div>
              <VillageNeeds
                key={village.id}
                programmeId={programmeId}
                villageId={village.id}
                villageName={village.name}
              />
            </>
          );
        }}
      </Shown>
    </section>
  );
}

interface VillageNeedsProps {
  readonly programmeId: string;
  readonly villageId: string;
  readonly villageName: string;
}

function VillageNeeds({ programmeId, villageId, villageName }: VillageNeedsProps) {
  const needs = useLoaded(`${programmeId} ${villageId}`, (signal) =>
    readAll('/programmes/:id/material-needs', { id: programmeId, query: { villageId }, signal }),
  );
  return (
    <Shown of={needs}>
      {(items) =>
        items.length === 0 ? (
          <Empty title={say('no-needs')} />
        ) : (
          <NeedsTable items={items} villageName={villageName} />
        )
      }
    </Shown>
  );
}

interface NeedsTableProps {
  readonly items: readonly MaterialNeed[];
  readonly villageName: string;
}

function NeedsTable({ items, villageName }: NeedsTableProps) {
  const weeks = [...new Set(items.map(({ periodStartsOn }) => periodStartsOn))].sort();
  const byMaterial = new Map<string, MaterialNeed[]>();
  for (const need of items) {
    const row = byMaterial.get(need.materialCode);
    if (row) row.push(need);
    else byMaterial.set(need.materialCode, [need]);
  }
  return (
    <Scrolled label={say('needs')}>
      <table class="needs">
        <caption class="field-label">{villageName}</caption>
        <thead>
          <tr>
            <th scope="col">{say('material')}</th>
            {weeks.map((week) => (
              <th key={week} scope="col" class="number">
                {formatDate(week)}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {[...byMaterial].map(([code, row]) => (
            <tr key={code}>
              <th scope="row">{row[0]?.materialName}</th>
              {weeks.map((week) => (
                <NeedCell
                  key={week}
                  need={row.find(({ periodStartsOn }) => periodStartsOn === week)}
                />
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </Scrolled>
  );
}

function NeedCell({ need }: { readonly need: MaterialNeed | undefined }) {
  if (!need) return <td />;
  const { grossQuantity, netQuantity, unitCode, plannedReceipt } = need;
  const isToBuy = Number(netQuantity) > 0;
  return (
    <td class="number" title={needText(need)}>
      {formatNumber(grossQuantity, 1)}
      {isToBuy ? (
        <strong class="to-buy">
          {say('buy', { quantity: formatQuantity(netQuantity, unitCode, 1) })}
          {plannedReceipt?.isLate ? (
            <span class="state" data-tone="caution">
              {say('late')}
            </span>
          ) : null}
        </strong>
      ) : null}
    </td>
  );
}

function needText({ grossQuantity, netQuantity, unitCode, plannedReceipt }: MaterialNeed): string {
  const gross = formatQuantity(grossQuantity, unitCode, 6);
  const net = formatQuantity(netQuantity, unitCode, 6);
  if (Number(netQuantity) <= 0) return say('cell-covered', { gross });
  if (!plannedReceipt) return say('cell-buy-none', { gross, net });
  if (plannedReceipt.isLate) return say('cell-buy-late', { gross, net });
  return say('cell-buy', { gross, net, date: formatDate(plannedReceipt.placeBy) });
}
