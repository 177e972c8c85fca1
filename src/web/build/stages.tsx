import { useSignal } from '@preact/signals';
import { formatDate, formatPercent } from '../language/format.ts';
import { Button } from '../parts/button.tsx';
import { Dialog } from '../parts/dialog.tsx';
import { Notice } from '../parts/notice.tsx';
import { may } from '../session/session.ts';
import type { BuildFacts } from './build-page.tsx';
import { RecordForm } from './record-form.tsx';
import { say } from './say.ts';
import { StageChecks } from './stage-checks.tsx';
import { StageSign } from './stage-sign.tsx';

export type Stage = BuildFacts['progress']['stages'][number];

interface StagesProps {
  readonly facts: BuildFacts;
  readonly onRecorded: () => void;
}

/** The stages in the order of the work; the one at hand stands open. */
export function Stages({ facts, onRecorded }: StagesProps) {
  const { build, progress } = facts;
  const asked = useSignal<Stage | null>(null);
  const close = () => {
    asked.value = null;
  };
  return (
    <section class="stack">
      <h2>{say('stages')}</h2>
      <ol class="stages">
        {progress.stages.map((stage) => (
          <StageItem
            key={stage.stageCode}
            stage={stage}
            isAtHand={stage.stageCode === build.currentStageCode}
            onAsk={() => {
              asked.value = stage;
            }}
          />
        ))}
      </ol>
      <Dialog
        title={say('record-stage', { stage: asked.value?.title ?? '' })}
        isOpen={asked.value !== null}
        onClose={close}
      >
        {asked.value ? (
          <RecordForm
            buildId={build.id}
            stage={asked.value}
            onRecorded={() => {
              close();
              onRecorded();
            }}
          />
        ) : null}
      </Dialog>
    </section>
  );
}

interface StageItemProps {
  readonly stage: Stage;
  readonly isAtHand: boolean;
  readonly onAsk: () => void;
}

function StageItem({ stage, isAtHand, onAsk }: StageItemProps) {
  const { title, status, needs, obstacles, cautions, checks } = stage;
  return (
    <li>
      <details open={isAtHand}>
        <summary>
          <span class="stage-line">
            <strong lang="en">{title}</strong>
            <StageSign of={status} />
            <span class="small soft">{stageDates(stage)}</span>
          </span>
        </summary>
        <div class="stack stage-detail">
          <p class="small soft">
            {say('weight', { percent: formatPercent(stage.weightRatio, 1) })}
            {stage.holdPoint === 'none' ? null : (
              <>
                {' · '}
                {say(`hold-${stage.holdPoint}`, { role: roleName(stage.releasedBy) })}
              </>
            )}
            {stage.isOpenToStart ? ` · ${say('open-to-start')}` : null}
          </p>
          {cautions.length > 0 ? (
            <Notice kind="caution">
              <ul lang="en">
                {cautions.map((caution) => (
                  <li key={caution}>{caution}</li>
                ))}
              </ul>
            </Notice>
          ) : null}
          {obstacles.length > 0 && status === 'not-started' ? (
            <Listed title={say('obstacles')} lines={obstacles.map(({ detail }) => detail)} />
          ) : null}
          {needs.length > 0 && status === 'not-started' ? (
            <Listed title={say('needs')} lines={needs} />
          ) : null}
          {checks.length > 0 ? <StageChecks stage={stage} /> : null}
          {may('stages:write') ? (
            <div class="no-print">
              <Button onClick={onAsk}>{say('record')}</Button>
            </div>
          ) : null}
        </div>
      </details>
    </li>
  );
}

function Listed({ title, lines }: { readonly title: string; readonly lines: readonly string[] }) {
  return (
    <div>
      <h3>{title}</h3>
      <ul lang="en">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </div>
  );
}

function stageDates({ startedOn, finishedOn, releasedOn, earliestStartOn, status }: Stage): string {
  const parts = [
    startedOn ? say('dates-started', { date: formatDate(startedOn) }) : '',
    finishedOn ? say('dates-finished', { date: formatDate(finishedOn) }) : '',
    releasedOn ? say('dates-released', { date: formatDate(releasedOn) }) : '',
    status === 'not-started' && earliestStartOn
      ? say('earliest-start', { date: formatDate(earliestStartOn) })
      : '',
  ];
  return parts.filter(Boolean).join(', ');
}

function roleName(role: string | null): string {
  const key = `role-${role}`;
  return say.has(key) ? say(key) : (role ?? '');
}
