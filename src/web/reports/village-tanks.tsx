import type { BuildStatus } from '../../../shared/contract/build.ts';
import type { Report } from '../../../shared/contract/report.ts';
import { formatPercent } from '../language/format.ts';
import { say as sayPart } from '../parts/say.ts';
import { statusName } from '../parts/status.tsx';
import { TankMark } from '../parts/tank-mark.tsx';
import { say } from './say.ts';

export type ReportBuild = Report['content']['builds'][number];

const STATUSES: readonly string[] = [
  'planned',
  'started',
  'on-hold',
  'complete',
  'handed-over',
  'cancelled',
] satisfies BuildStatus[];

export const isStatus = (status: string): status is BuildStatus => STATUSES.includes(status);

/** The tanks of the grant as rows of villages. */
export function VillageTanks({ builds }: { readonly builds: readonly ReportBuild[] }) {
  const byVillage = new Map<string, ReportBuild[]>();
  for (const build of builds) {
    const row = byVillage.get(build.villageName);
    if (row) row.push(build);
    else byVillage.set(build.villageName, [build]);
  }
  const rows = [...byVillage].sort(([a], [b]) => a.localeCompare(b));
  return (
    <section class="stack">
      <h2>{say('tanks')}</h2>
      <dl class="report-villages">
        {rows.map(([village, row]) => (
          <div key={village}>
            <dt>{village}</dt>
            <dd>
              {row
                .sort((a, b) => b.percentComplete - a.percentComplete)
                .map((build) => (
                  <Tank key={build.buildCode} build={build} />
                ))}
            </dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

function Tank({ build: { buildCode, status, percentComplete } }: { readonly build: ReportBuild }) {
  if (!isStatus(status)) return null;
  const label = sayPart('tank-label', {
    code: buildCode,
    status: statusName(status),
    percent: formatPercent(percentComplete / 100),
  });
  return (
    <span role="img" aria-label={label} title={label}>
      <TankMark status={status} completeRatio={percentComplete / 100} />
    </span>
  );
}
