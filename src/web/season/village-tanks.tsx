import { memo } from 'preact/compat';
import { useRef } from 'preact/hooks';
import type { Bill } from '../../../shared/contract/bill.ts';
import type { Build } from '../../../shared/contract/build.ts';
import type { BuildProgress } from '../../../shared/contract/stage-record.ts';
import { formatDate, formatLitres, formatMoney, formatPercent } from '../language/format.ts';
import { useNear } from '../parts/near.ts';
import { say as sayPart } from '../parts/say.ts';
import { statusName } from '../parts/status.tsx';
import { TankMark } from '../parts/tank-mark.tsx';
import { heldReason } from './held-reason.ts';
import { say } from './say.ts';
import type { VillageRow } from './season-view.ts';

/** Builds on hold, and late ones, that a row names; the rest is counted. */
const NAMED_COUNT = 6;

interface VillageTanksProps {
  readonly row: VillageRow;
  readonly bill: Pick<Bill, 'amount' | 'inKindAmount'> | undefined;
  readonly progressByBuildId: ReadonlyMap<string, BuildProgress>;
  readonly stageTitleByCode: ReadonlyMap<string, string>;
}

/**
 * A village as its row of tanks, with litres and money beside, and what holds it up below. Tanks of
 * rows far from the window are not drawn, so that a season of thousands is filtered at once.
 */
export function VillageTanks({
  row,
  bill,
  progressByBuildId,
  stageTitleByCode,
}: VillageTanksProps) {
  const { builds, heldBuilds, lateBuilds } = row;
  const place = useRef<HTMLElement>(null);
  const isNear = useNear(place);
  const lateOnly = lateBuilds.filter(({ status }) => status !== 'on-hold');
  return (
    <article class="village" aria-label={row.villageName} ref={place}>
      <header>
        <h2>{row.villageName}</h2>
        <p class="small soft">{row.district}</p>
        <p class="small">{say('builds', { count: builds.length })}</p>
        {heldBuilds.length > 0 ? (
          <span class="state" data-tone="caution">
            {say('held', { count: heldBuilds.length })}
          </span>
        ) : null}
        {lateBuilds.length > 0 ? (
          <span class="state" data-tone="usual">
            {say('late-count', { count: lateBuilds.length })}
          </span>
        ) : null}
      </header>
      <div class="stack">
        <ul class="tanks">
          {isNear ? builds.map((build) => <Tank key={build.id} build={build} />) : null}
        </ul>
        {heldBuilds.length > 0 || lateOnly.length > 0 ? (
          <ul class="reasons">
            {heldBuilds.slice(0, NAMED_COUNT).map((build) => (
              <li key={build.id} data-kind="held">
                <a href={`/builds/${build.id}`}>{build.code}</a>{' '}
                {heldReason(build, progressByBuildId.get(build.id), stageTitleByCode)}
              </li>
            ))}
            {lateOnly.slice(0, NAMED_COUNT).map((build) => (
              <li key={build.id}>
                <a href={`/builds/${build.id}`}>{build.code}</a> {lateText(build)}
              </li>
            ))}
            <Rest count={restCount(heldBuilds) + restCount(lateOnly)} />
          </ul>
        ) : null}
      </div>
      <dl class="village-sums">
        <div>
          <dt class="unseen">{say('litres')}</dt>
          <dd>
            {say('litres-of', {
              part: formatLitres(row.handedOverL),
              all: formatLitres(row.capacityL),
            })}
          </dd>
        </div>
        {bill ? (
          <div>
            <dt class="unseen">{say('bill')}</dt>
            <dd>{formatMoney(bill.amount)}</dd>
            <dd class="small soft">
              {say('in-kind-short', { amount: formatMoney(bill.inKindAmount) })}
            </dd>
          </div>
        ) : null}
      </dl>
    </article>
  );
}

const restCount = (builds: readonly Build[]) => Math.max(0, builds.length - NAMED_COUNT);

function Rest({ count }: { readonly count: number }) {
  return count > 0 ? <li class="soft">{say('more', { count })}</li> : null;
}

const lateText = (build: Build) =>
  build.status === 'planned'
    ? say('late-start', { date: formatDate(build.plannedStartOn ?? '') })
    : say('late-due', { date: formatDate(build.dueOn ?? '') });

const Tank = memo(function Tank({ build }: { readonly build: Build }) {
  const { id, code, status, percentComplete } = build;
  const label = sayPart('tank-label', {
    code,
    status: statusName(status),
    percent: formatPercent(percentComplete / 100),
  });
  return (
    <li>
      <a class="tank" href={`/builds/${id}`} aria-label={label} title={label}>
        <TankMark status={status} completeRatio={percentComplete / 100} />
      </a>
    </li>
  );
});
