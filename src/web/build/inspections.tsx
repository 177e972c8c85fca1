import type { Inspection } from '../../../shared/contract/inspection.ts';
import { readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { formatDate } from '../language/format.ts';
import { Notice } from '../parts/notice.tsx';
import { Shown } from '../parts/shown.tsx';
import { may } from '../session/session.ts';
import { say } from './say.ts';

/** What inspections after building found, and what is still to be done about it. */
export function Inspections({ buildId }: { readonly buildId: string }) {
  const inspections = useLoaded(buildId, (signal) =>
    readAll('/inspections', { query: { buildId }, signal }),
  );
  if (!may('inspections:read')) return null;
  return (
    <section class="panel">
      <h2>{say('inspections')}</h2>
      <Shown of={inspections}>
        {(all) =>
          all.length === 0 ? (
            <p class="soft">{say('no-inspections')}</p>
          ) : (
            all.map((inspection) => <Visit key={inspection.id} inspection={inspection} />)
          )
        }
      </Shown>
    </section>
  );
}

function Visit({ inspection }: { readonly inspection: Inspection }) {
  const { kind, inspectedOn, condition, sanitaryRisks, findings, note, cautions } = inspection;
  return (
    <article class="stack visit">
      <h3>
        {formatDate(inspectedOn)}, {say(`inspection-kind-${kind}`)}
      </h3>
      <p>
        <strong>{say(`condition-${condition}`)}</strong>.{' '}
        {say('risks', {
          count: sanitaryRisks.riskCount,
          unanswered: sanitaryRisks.unansweredCount,
        })}
      </p>
      {note ? <p>{note}</p> : null}
      {findings.length > 0 ? (
        <ul>
          {findings.map((finding) => (
            <li key={finding.id}>
              <strong>{say(`severity-${finding.severity}`)}</strong>, {finding.part}:{' '}
              {finding.description}
              {finding.measuredValue === null
                ? null
                : ` (${finding.measuredValue} ${finding.measuredUnit ?? ''})`}
              <ul>
                {finding.actions.map(({ id, description, dueOn, closedOn }) => (
                  <li key={id}>
                    {closedOn
                      ? say('action-closed', { date: formatDate(closedOn), what: description })
                      : say('action-open', { date: formatDate(dueOn), what: description })}
                  </li>
                ))}
              </ul>
            </li>
          ))}
        </ul>
      ) : null}
      {cautions.length > 0 ? (
        <Notice kind="caution">
          <ul lang="en">
            {cautions.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ul>
        </Notice>
      ) : null}
    </article>
  );
}
