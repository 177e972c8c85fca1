import { formatLitres, formatPercent } from '../language/format.ts';
import { Notice } from '../parts/notice.tsx';
import { Table } from '../parts/table.tsx';
import { monthName } from './months.ts';
import { say } from './say.ts';
import type { SiteFacts } from './site-page.tsx';

/** What the sizing of the service chose for the site, or why it chose nothing. */
export function Sizing({ facts: { sizing } }: { readonly facts: SiteFacts }) {
  if (!sizing) return <Notice kind="note" title={say('unsized')} />;
  const { refusal, designRevisionId, candidates, dryMonths } = sizing;
  return (
    <section class="stack">
      <h2>{say('outcome')}</h2>
      {refusal === null ? null : <Notice kind="note" title={say(`refusal-${refusal}`)} />}
      <dl class="facts panel">
        <div>
          <dt>{say('tank')}</dt>
          <dd>
            {designRevisionId ? (
              <a href={`/designs/${designRevisionId}`}>{sizing.designCode}</a>
            ) : (
              say('refused')
            )}
          </dd>
        </div>
        <Measure name={say('reliability')} ratio={sizing.volumetricReliabilityRatio} />
        <Measure name={say('days-met')} ratio={sizing.daysMetRatio} />
        <Litres name={say('runoff')} litres={sizing.meanAnnualRunoffL} />
        <Litres name={say('yield')} litres={sizing.meanYieldLPerDay} />
        <div>
          <dt>{say('dry-months')}</dt>
          <dd>
            {dryMonths.length === 0
              ? say('none')
              : dryMonths.map((month) => monthName(month)).join(', ')}
          </dd>
          <dd class="small soft">{say('dry-months-note')}</dd>
        </div>
      </dl>
      {candidates.length > 0 ? (
        <Table
          caption={say('candidates')}
          rows={candidates}
          keyOf={(candidate) => candidate.designRevisionId}
          columns={[
            {
              title: say('capacity'),
              isHead: true,
              cell: (candidate) => (
                <>
                  {formatLitres(candidate.capacityL)}{' '}
                  {candidate.designRevisionId === designRevisionId ? (
                    <span class="state" data-tone="strong">
                      {say('is-chosen')}
                    </span>
                  ) : null}
                </>
              ),
            },
            {
              title: say('reliability'),
              isNumber: true,
              cell: ({ volumetricReliabilityRatio: ratio }) => formatPercent(ratio, 1),
            },
            {
              title: say('days-met'),
              isNumber: true,
              cell: ({ daysMetRatio }) => formatPercent(daysMetRatio, 1),
            },
            { title: say('meets'), cell: ({ meetsTarget }) => yesNo(meetsTarget) },
            { title: say('suits'), cell: ({ suitsGround }) => yesNo(suitsGround) },
          ]}
        />
      ) : null}
    </section>
  );
}

const yesNo = (value: boolean | null) =>
  value === null ? say('unknown') : say(value ? 'yes' : 'no');

function Measure({ name, ratio }: { readonly name: string; readonly ratio: number | null }) {
  if (ratio === null) return null;
  return (
    <div>
      <dt>{name}</dt>
      <dd>{formatPercent(ratio, 1)}</dd>
    </div>
  );
}

function Litres({ name, litres }: { readonly name: string; readonly litres: number | null }) {
  if (litres === null) return null;
  return (
    <div>
      <dt>{name}</dt>
      <dd>{formatLitres(litres)}</dd>
    </div>
  );
}
