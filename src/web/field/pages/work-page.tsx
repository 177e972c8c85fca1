import type { Build } from '../../../../shared/contract/build.ts';
import { formatDate, formatInstant, formatPercent } from '../../language/format.ts';
import { Empty } from '../../parts/empty.tsx';
import { Field } from '../../parts/field.tsx';
import { Status } from '../../parts/status.tsx';
import { TankMark } from '../../parts/tank-mark.tsx';
import { timeZone } from '../../session/session.ts';
import { buildPath } from '../field-paths.ts';
import {
  buildsOfCrew,
  chooseCrew,
  crewId,
  DAYS_AHEAD,
  progressById,
  season,
} from '../kept/season.ts';
import { items } from '../outbox/outbox.ts';
import { say } from '../say.ts';
import { HandedOver } from './handed-over.tsx';

/** The builds that the crew works on, and those that begin soon. */
export function WorkPage() {
  const { crews, readAt } = season.value;
  const builds = buildsOfCrew.value;
  return (
    <>
      <h1>{say('today')}</h1>
      <Field label={say('crew')}>
        <select
          value={crewId.value}
          onChange={(event: Event) => {
            void chooseCrew((event.currentTarget as HTMLSelectElement).value);
          }}
        >
          <option value="">{say('all-crews')}</option>
          {crews.map(({ id, code, name }) => (
            <option key={id} value={id}>
              {code} {name}
            </option>
          ))}
        </select>
      </Field>
      <p class="small soft">
        {readAt ? say('as-of', { date: formatInstant(readAt, timeZone.value) }) : say('never-read')}
      </p>
      {builds.length === 0 ? (
        <Empty title={say('no-builds', { days: DAYS_AHEAD })} />
      ) : (
        <ul class="field-list">
          {builds.map((build) => (
            <BuildCard key={build.id} build={build} />
          ))}
        </ul>
      )}
      <HandedOver />
    </>
  );
}

function BuildCard({ build }: { readonly build: Build }) {
  const { id, code, villageName, status, percentComplete, currentStageCode } = build;
  const stage = progressById.value
    .get(id)
    ?.stages.find(({ stageCode }) => stageCode === currentStageCode);
  const count = items.value.filter(
    ({ title, state }) => title.buildId === id && state !== 'sent',
  ).length;
  return (
    <li>
      <a class="field-card" href={buildPath(id)}>
        <TankMark status={status} completeRatio={percentComplete / 100} />
        <div>
          <strong>{code}</strong>
          <span>
            {villageName} · {formatPercent(percentComplete / 100)}
          </span>
          {stage ? <span lang="en">{stage.title}</span> : null}
          <span class="row">
            <Status of={status} />
            {status === 'planned' && build.plannedStartOn ? (
              <span class="small">
                {say('planned-for', { date: formatDate(build.plannedStartOn) })}
              </span>
            ) : null}
            {count > 0 ? <span class="small">{say('waiting-count', { count })}</span> : null}
          </span>
        </div>
      </a>
    </li>
  );
}
