import { StageSign } from '../../build/stage-sign.tsx';
import { formatDate, formatPercent } from '../../language/format.ts';
import { Notice } from '../../parts/notice.tsx';
import { Status } from '../../parts/status.tsx';
import { TankMark } from '../../parts/tank-mark.tsx';
import type { PageProps } from '../../route/pages.tsx';
import { may } from '../../session/session.ts';
import { inspectionPath, stagePath } from '../field-paths.ts';
import { progressById, season } from '../kept/season.ts';
import { recordsOfStage, type Stage, stateOnPhone } from '../kept/stage-on-phone.ts';
import { items } from '../outbox/outbox.ts';
import { say } from '../say.ts';
import { BackLink } from './back-link.tsx';
import { OutboxList } from './outbox-list.tsx';

/** One build: its stages in the order of the work, and what this phone recorded of it. */
export function BuildPage({ params }: PageProps) {
  const id = params.id ?? '';
  const build = season.value.builds.find((each) => each.id === id);
  const progress = progressById.value.get(id);
  const mine = items.value.filter(({ title }) => title.buildId === id);
  return (
    <>
      <BackLink href="/field">{say('to-builds')}</BackLink>
      {build ? (
        <div class="row">
          <TankMark status={build.status} completeRatio={build.percentComplete / 100} />
          <div class="stack">
            <h1>{build.code}</h1>
            <span>
              {build.villageName} · {build.siteCode} · {formatPercent(build.percentComplete / 100)}
            </span>
            <span>
              <Status of={build.status} />
            </span>
          </div>
        </div>
      ) : null}
      {progress?.nonConformities.length ? (
        <Notice kind="problem" title={say('not-as-it-should-be')}>
          <ul lang="en">
            {progress.nonConformities.map(({ recordId, observedOn, detail }) => (
              <li key={recordId}>
                {formatDate(observedOn)}: {detail}
              </li>
            ))}
          </ul>
        </Notice>
      ) : null}
      {progress ? (
        <ol class="field-list">
          {progress.stages.map((stage) => (
            <StageCard
              key={stage.stageCode}
              buildId={id}
              stage={stage}
              isAtHand={stage.stageCode === build?.currentStageCode}
            />
          ))}
        </ol>
      ) : build?.status === 'handed-over' ? null : (
        <Notice kind="note" title={say('not-kept')} />
      )}
      {may('inspections:write') ? (
        <a class="button" href={inspectionPath(id)}>
          {say('inspect')}
        </a>
      ) : null}
      {mine.length > 0 ? (
        <section class="stack">
          <h2>{say('on-phone')}</h2>
          <OutboxList items={mine} />
        </section>
      ) : null}
    </>
  );
}

interface StageCardProps {
  readonly buildId: string;
  readonly stage: Stage;
  readonly isAtHand: boolean;
}

function StageCard({ buildId, stage, isAtHand }: StageCardProps) {
  const records = recordsOfStage(items.value, buildId, stage.stageCode);
  return (
    <li>
      <a
        class="field-card"
        href={stagePath(buildId, stage.stageCode)}
        {...(isAtHand ? { 'data-at-hand': '' } : {})}
      >
        <div>
          <strong lang="en">{stage.title}</strong>
          <span class="row">
            <StageSign of={stateOnPhone(stage, records)} />
            {isAtHand ? <span class="small">{say('at-hand')}</span> : null}
            {records.length > 0 ? (
              <span class="small">{say('waiting-count', { count: records.length })}</span>
            ) : null}
          </span>
        </div>
      </a>
    </li>
  );
}
