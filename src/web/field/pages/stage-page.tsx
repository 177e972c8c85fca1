import { StageSign } from '../../build/stage-sign.tsx';
import { Notice } from '../../parts/notice.tsx';
import type { PageProps } from '../../route/pages.tsx';
import { may } from '../../session/session.ts';
import { buildPath } from '../field-paths.ts';
import { progressById, season } from '../kept/season.ts';
import { recordsOfStage, stateOnPhone } from '../kept/stage-on-phone.ts';
import { items } from '../outbox/outbox.ts';
import { say } from '../say.ts';
import { BackLink } from './back-link.tsx';
import { CheckForms } from './check-forms.tsx';
import { HoldForms } from './hold-forms.tsx';
import { KeepForm } from './keep-form.tsx';
import { OutboxList } from './outbox-list.tsx';
import { stageItem } from './stage-item.ts';
import { WorkForm } from './work-form.tsx';

/** Codes of stages in which a tank is filled, whatever its kind. */
const FILLING = /water|fill|tight|disinfect/;

/** One stage of a build: cautions first, then what can be recorded, then what was. */
export function StagePage({ params }: PageProps) {
  const buildId = params.id ?? '';
  const stage = progressById.value
    .get(buildId)
    ?.stages.find(({ stageCode }) => stageCode === params.stage);
  const build = season.value.builds.find(({ id }) => id === buildId);
  if (!stage) return <Notice kind="note" title={say('not-kept')} />;
  const code = build?.code ?? '';
  const at = { buildId, buildCode: code, stageCode: stage.stageCode, stageTitle: stage.title };
  const records = recordsOfStage(items.value, buildId, stage.stageCode);
  const status = stateOnPhone(stage, records);
  const startHere = records.find(
    ({ title, state }) => title.kind === 'stage-started' && state === 'waiting',
  );
  const known = items.value.filter(
    ({ title }) => title.buildId === buildId && title.stageCode === stage.stageCode,
  );
  return (
    <>
      <BackLink href={buildPath(buildId)}>{say('to-build', { code })}</BackLink>
      <h1 lang="en">{stage.title}</h1>
      <p>
        <StageSign of={status} />
      </p>
      {stage.cautions.length > 0 || FILLING.test(stage.stageCode) ? (
        <Notice kind="caution">
          <ul lang="en">
            {stage.cautions.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ul>
          {FILLING.test(stage.stageCode) ? <p>{say('first-filling')}</p> : null}
        </Notice>
      ) : null}
      {stage.obstacles.length > 0 && status === 'not-started' ? (
        <Notice kind="note">
          <ul lang="en">
            {stage.obstacles.map(({ detail }) => (
              <li key={detail}>{detail}</li>
            ))}
          </ul>
        </Notice>
      ) : null}
      {may('stages:write') ? (
        <>
          {status === 'not-started' || status === 'in-rework' ? (
            <KeepForm
              submit={say('start')}
              photosOf="stage-record"
              make={(common) => [stageItem(at, common, { kind: 'started' })]}
            />
          ) : null}
          {stage.checks.length > 0 ? <CheckForms at={at} stage={stage} /> : null}
          <WorkForm at={at} crewId={build?.crewId ?? null} />
          {status === 'in-progress' ? (
            <section class="panel">
              <h2>{say('finish')}</h2>
              <KeepForm
                submit={say('finish')}
                photosOf="stage-record"
                make={(common) => [
                  stageItem(at, common, { kind: 'finished', afterRecordId: startHere?.recordId }),
                ]}
              />
            </section>
          ) : null}
          {stage.holdPoint !== 'none' && status !== 'not-started' && status !== 'accepted' ? (
            <HoldForms at={at} releasedBy={stage.releasedBy} />
          ) : null}
        </>
      ) : null}
      {known.length > 0 ? (
        <section class="stack">
          <h2>{say('on-phone')}</h2>
          <OutboxList items={known} />
        </section>
      ) : null}
    </>
  );
}
