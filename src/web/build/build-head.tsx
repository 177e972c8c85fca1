import type { Build } from '../../../shared/contract/build.ts';
import { readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { formatDate, formatLitres, formatPercent } from '../language/format.ts';
import { Status } from '../parts/status.tsx';
import { TankMark } from '../parts/tank-mark.tsx';
import { may } from '../session/session.ts';
import { say } from './say.ts';

/** The tank, filled as far as it is complete, beside what the build is about. */
export function BuildHead({ build }: { readonly build: Build }) {
  const dateOf = (date: string | null) => (date === null ? say('not-set') : formatDate(date));
  const mayReadPlaces = may('places:read');
  const crews = useLoaded('crews', async (signal) =>
    mayReadPlaces && build.crewId !== null ? readAll('/crews', { signal }) : [],
  );
  const crew =
    crews.value.state === 'ready'
      ? crews.value.value.find(({ id }) => id === build.crewId)?.name
      : undefined;
  return (
    <header class="build-head">
      <TankMark status={build.status} completeRatio={build.percentComplete / 100} />
      <div class="stack">
        <div class="row">
          <h1>{say('build', { code: build.code })}</h1>
          <Status of={build.status} />
        </div>
        <dl class="facts">
          <Fact name={say('complete')} value={formatPercent(build.percentComplete / 100, 1)} />
          <div>
            <dt>{say('village')}</dt>
            <dd>
              <a href={`/season?village=${build.villageId}&programme=${build.programmeId}`}>
                {build.villageName}
              </a>
            </dd>
          </div>
          <div>
            <dt>{say('site')}</dt>
            <dd>
              {may('sites:read') ? (
                <a href={`/sites/${build.siteId}`}>{build.siteCode}</a>
              ) : (
                build.siteCode
              )}
            </dd>
          </div>
          <div>
            <dt>{say('design')}</dt>
            <dd>
              {may('designs:read') ? (
                <a href={`/designs/${build.designRevisionId}`}>{build.designCode}</a>
              ) : (
                build.designCode
              )}
            </dd>
          </div>
          <Fact name={say('capacity')} value={formatLitres(build.capacityL)} />
          <Fact name={say('crew')} value={crew ?? say('not-set')} />
          <Fact name={say('planned-start')} value={dateOf(build.plannedStartOn)} />
          <Fact name={say('due-on')} value={dateOf(build.dueOn)} />
          {build.startedOn ? (
            <Fact name={say('started-on')} value={formatDate(build.startedOn)} />
          ) : null}
          {build.handedOverOn ? (
            <Fact name={say('handed-over-on')} value={formatDate(build.handedOverOn)} />
          ) : null}
        </dl>
      </div>
    </header>
  );
}

function Fact({ name, value }: { readonly name: string; readonly value: string }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{value}</dd>
    </div>
  );
}
