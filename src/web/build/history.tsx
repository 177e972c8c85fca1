import { useSignal } from '@preact/signals';
import type { BuildProgress, StageRecord } from '../../../shared/contract/stage-record.ts';
import { readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { formatDate, formatInstant } from '../language/format.ts';
import { Button } from '../parts/button.tsx';
import { may, timeZone } from '../session/session.ts';
import { valueText } from './check-reading.ts';
import { say } from './say.ts';

/** Records that show at first; the rest on demand. */
const FIRST_COUNT = 12;

interface HistoryProps {
  readonly records: readonly StageRecord[];
  readonly progress: BuildProgress;
}

/** Every fact of the build as it was recorded, newest first. Nothing in it is ever changed. */
export function History({ records, progress }: HistoryProps) {
  const showsAll = useSignal(false);
  const mayReadPeople = may('people:read');
  const people = useLoaded('people', async (signal) =>
    mayReadPeople ? readAll('/people', { signal }) : [],
  );
  const nameById = new Map(
    people.value.state === 'ready' ? people.value.value.map(({ id, name }) => [id, name]) : [],
  );
  const newest = [...records].reverse();
  const shown = showsAll.value ? newest : newest.slice(0, FIRST_COUNT);
  return (
    <section class="panel">
      <h2>{say('history')}</h2>
      {records.length === 0 ? <p class="soft">{say('no-history')}</p> : null}
      <ol class="history">
        {shown.map((record) => (
          <li key={record.id}>
            <strong>{formatDate(record.observedOn)}</strong> {factText(record, progress)}
            {record.note ? <p>{record.note}</p> : null}
            <p class="small soft">{keptText(record, nameById.get(record.recordedById))}</p>
          </li>
        ))}
      </ol>
      {newest.length > shown.length ? (
        <Button
          onClick={() => {
            showsAll.value = true;
          }}
        >
          {say('more')}
        </Button>
      ) : null}
    </section>
  );
}

function factText(record: StageRecord, progress: BuildProgress): string {
  const stage = progress.stages.find(({ stageCode }) => stageCode === record.stageCode);
  const check = stage?.checks.find(({ code }) => code === record.checkCode);
  const key = `kind-${record.kind}`;
  const what = say.has(key) ? say(key) : record.kind;
  const value =
    record.measuredValue === null
      ? ''
      : `, ${check ? `${check.title}: ${valueText(check, record.measuredValue)}` : record.measuredValue}`;
  const reason = record.reason ? `: ${record.reason}` : '';
  return `${stage?.title ?? record.stageCode}: ${what}${value}${reason}`;
}

function keptText(record: StageRecord, name: string | undefined): string {
  const date = formatInstant(record.recordedAt, timeZone.value);
  return name ? say('history-by', { name, date }) : say('history-at', { date });
}
