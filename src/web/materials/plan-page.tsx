import type { SupplyPlan, WayOfBuying } from '../../../shared/contract/supply-plan.ts';
import { read } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { formatDate, formatMoney, formatPercent } from '../language/format.ts';
import { formatQuantity } from '../language/units.ts';
import { Notice } from '../parts/notice.tsx';
import { Shown } from '../parts/shown.tsx';
import { Table } from '../parts/table.tsx';
import { useTitle } from '../parts/title.ts';
import type { PageProps } from '../route/pages.tsx';
import { PlanLines } from './plan-lines.tsx';
import { say } from './say.ts';

/** One supply plan: cost against its bound, what it saves, what it cannot serve, and its lines. */
export function PlanPage({ params }: PageProps) {
  const id = params.id ?? '';
  const plan = useLoaded(id, (signal) => read('/supply-plans/:id', { id, signal }));
  return <Shown of={plan}>{(value) => <PlanSheet key={id} plan={value} />}</Shown>;
}

const PARTS = ['purchase', 'ordering', 'transport', 'holding'] as const;
const WAYS = ['perTank', 'perVillage', 'cheapestUnitPrice'] as const;

function PlanSheet({ plan }: { readonly plan: SupplyPlan }) {
  useTitle(say('plan', { code: plan.code }));
  return (
    <>
      <header class="stack">
        <p class="small no-print">
          <a href={`/materials?programme=${plan.programmeId}`}>{say('materials')}</a>
        </p>
        <h1>{say('plan', { code: plan.code })}</h1>
        <dl class="facts panel">
          <Fact name={say('total')} value={formatMoney(plan.totalAmount)} />
          <Fact
            name={say('status')}
            value={say(`status-${plan.status}`, { gap: formatPercent(plan.gapRatio, 2) })}
          />
          <Fact name={say('bound')} value={formatMoney(plan.lowerBoundAmount)} />
          {PARTS.map((part) => (
            <Fact key={part} name={say(part)} value={formatMoney(plan.costParts[part])} />
          ))}
        </dl>
      </header>
      <Ways plan={plan} />
      {plan.shortfalls.length > 0 ? (
        <Notice kind="caution" title={say('shortfalls')}>
          <ul>
            {plan.shortfalls.map((short) => (
              <li key={`${short.materialId} ${short.villageId} ${short.periodStartsOn}`}>
                {formatQuantity(short.quantity, short.unitCode)} {short.materialCode},{' '}
                {short.villageCode}, {formatDate(short.periodStartsOn)}:{' '}
                <span lang="en">{short.detail}</span>
              </li>
            ))}
          </ul>
        </Notice>
      ) : null}
      <PlanLines planId={plan.id} />
    </>
  );
}

function Ways({ plan: { comparison } }: { readonly plan: SupplyPlan }) {
  const rows = WAYS.map((name) => ({ name, way: comparison[name] }));
  return (
    <section class="stack">
      <h2>{say('saving')}</h2>
      <Table
        caption={say('saving')}
        hidesCaption
        rows={rows}
        keyOf={({ name }) => name}
        columns={[
          {
            title: say('way'),
            isHead: true,
            cell: ({ name, way }) => (
              <>
                {say(`way-${name}`)}
                {way.breaks.length > 0 ? (
                  <span class="small soft" lang="en">
                    {' '}
                    {say('way-breaks', { limits: way.breaks.join(', ') })}
                  </span>
                ) : null}
              </>
            ),
          },
          { title: say('way-total'), isNumber: true, cell: ({ way }) => amountOf(way.totalAmount) },
          {
            title: say('way-saving'),
            isNumber: true,
            cell: ({ way }) => amountOf(way.savingAmount),
          },
          { title: say('way-orders'), isNumber: true, cell: ({ way }) => way.orderCount },
          { title: say('way-trips'), isNumber: true, cell: ({ way }) => way.tripCount },
        ]}
      />
    </section>
  );
}

const amountOf = (amount: WayOfBuying['totalAmount']) =>
  amount === null ? say('way-cannot') : formatMoney(amount);

function Fact({ name, value }: { readonly name: string; readonly value: string }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{value}</dd>
    </div>
  );
}
