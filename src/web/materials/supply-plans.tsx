import { useSignal } from '@preact/signals';
import type { Job } from '../../../shared/contract/job.ts';
import { readAll } from '../api/client.ts';
import { useJob } from '../api/job.ts';
import { useLoaded } from '../api/loaded.ts';
import { formatInstant, formatMoney, formatPercent } from '../language/format.ts';
import { JobControl } from '../parts/job-control.tsx';
import { Shown } from '../parts/shown.tsx';
import { Table } from '../parts/table.tsx';
import { may, timeZone } from '../session/session.ts';
import { say } from './say.ts';

/** The supply plans of a programme, newest first, and working out another. */
export function SupplyPlans({ programmeId }: { readonly programmeId: string }) {
  const madeCount = useSignal(0);
  const plans = useLoaded(`${programmeId} ${madeCount.value}`, (signal) =>
    readAll('/programmes/:id/supply-plans', { id: programmeId, signal }),
  );
  const followed = useJob(`/programmes/${programmeId}/supply-plans`, {}, () => {
    madeCount.value += 1;
  });
  return (
    <section class="stack">
      <h2>{say('plans')}</h2>
      {may('orders:write') ? (
        <div class="row no-print">
          <JobControl
            followed={followed}
            startLabel={say('work-out')}
            cancelLabel={say('cancel')}
            textOf={jobText}
          />
        </div>
      ) : null}
      <Shown of={plans}>
        {(all) =>
          all.length === 0 ? (
            <p class="soft">{say('no-plans')}</p>
          ) : (
            <Table
              caption={say('plans')}
              hidesCaption
              rows={all}
              keyOf={({ id }) => id}
              columns={[
                {
                  title: say('code'),
                  isHead: true,
                  cell: ({ id, code }) => <a href={`/materials/plans/${id}`}>{code}</a>,
                },
                {
                  title: say('made-on'),
                  cell: ({ createdAt }) => formatInstant(createdAt, timeZone.value),
                },
                {
                  title: say('status'),
                  cell: ({ status, gapRatio }) =>
                    say(`status-${status}`, { gap: formatPercent(gapRatio, 2) }),
                },
                {
                  title: say('order-lines'),
                  isNumber: true,
                  cell: ({ lineCount }) => say('lines', { count: lineCount }),
                },
                {
                  title: say('total'),
                  isNumber: true,
                  cell: ({ totalAmount }) => formatMoney(totalAmount),
                },
              ]}
            />
          )
        }
      </Shown>
    </section>
  );
}

function jobText({ state, progress, error }: Job): string {
  if (state === 'failed') return say('job-failed', { detail: error?.detail ?? '' });
  if (state === 'running' && progress.total === 0) return say('job-queued');
  return say(`job-${state}`, progress);
}
