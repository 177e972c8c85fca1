import { formatDate } from '../language/format.ts';
import { Table } from '../parts/table.tsx';
import { lastReading, limitsText, type StageCheck, valueText } from './check-reading.ts';
import { say } from './say.ts';
import type { Stage } from './stages.tsx';

/** The checks of a stage with their limits and what was measured last. */
export function StageChecks({ stage }: { readonly stage: Stage }) {
  return (
    <Table
      caption={say('checks')}
      rows={stage.checks}
      keyOf={({ code }) => code}
      columns={[
        {
          title: say('check'),
          isHead: true,
          cell: ({ title, isCommonPractice }) => (
            <>
              <span lang="en">{title}</span>
              {isCommonPractice ? (
                <span class="small soft"> ({say('common-practice')})</span>
              ) : null}
            </>
          ),
        },
        { title: say('limits'), cell: limitsText },
        { title: say('measured'), cell: (check) => <Measured stage={stage} check={check} /> },
      ]}
    />
  );
}

function Measured({ stage, check }: { readonly stage: Stage; readonly check: StageCheck }) {
  const reading = lastReading(stage, check);
  if (!reading) return <span class="soft">{say('not-measured')}</span>;
  const { measuredValue, observedOn, isWithinLimits } = reading;
  return (
    <>
      <strong>{valueText(check, measuredValue)}</strong>{' '}
      <span class="state" data-tone={isWithinLimits ? 'usual' : 'fail'}>
        {say(isWithinLimits ? 'within-yes' : 'within-no')}
      </span>{' '}
      <span class="small soft">{say('measured-on', { date: formatDate(observedOn) })}</span>
    </>
  );
}
