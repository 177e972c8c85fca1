import { useSignal } from '@preact/signals';
import { v7 as uuidv7 } from 'uuid';
import type { NewInspection } from '../../../../shared/contract/inspection.ts';
import { Button } from '../../parts/button.tsx';
import { Field } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import type { PageProps } from '../../route/pages.tsx';
import { buildPath } from '../field-paths.ts';
import { season } from '../kept/season.ts';
import { say } from '../say.ts';
import { BackLink } from './back-link.tsx';
import { type Finding, FindingLine, findingOf, NO_FINDING } from './finding-line.tsx';
import { KeepForm } from './keep-form.tsx';
import { type Answers, SanitaryAnswers } from './sanitary-answers.tsx';

const KINDS = ['after-building', 'defects-visit', 'yearly', 'event'] as const;
const CONDITIONS = [
  'functional',
  'needs-repair',
  'dry-for-lack-of-rain',
  'not-functional',
  'not-found',
] as const satisfies readonly NewInspection['condition'][];

/** A visit to a tank: condition, water, what lets dirt in, findings with what is to be done. */
export function InspectionPage({ params }: PageProps) {
  const buildId = params.id ?? '';
  const build = season.value.builds.find(({ id }) => id === buildId);
  const code = build?.code ?? '';
  // Before the handover the service takes visits for a reason only.
  const kind = useSignal<string>(build?.handedOverOn ? 'defects-visit' : 'event');
  const condition = useSignal<string>('');
  const depth = useSignal('');
  const answers = useSignal<Answers>({});
  const findings = useSignal<readonly Finding[]>([]);
  return (
    <>
      <BackLink href={buildPath(buildId)}>{say('to-build', { code })}</BackLink>
      <h1>{say('inspection', { code })}</h1>
      <Notice kind="caution">{say('inspection-caution')}</Notice>
      <Notice kind="note">{say('water-caution')}</Notice>
      <KeepForm
        submit={say('record-inspection')}
        photosOf="inspection"
        make={({ observedOn, note }) => {
          const id = uuidv7();
          return [
            {
              recordId: id,
              path: `/v1/builds/${buildId}/inspections`,
              observedOn,
              body: {
                id,
                kind: kind.value,
                inspectedOn: observedOn,
                condition: condition.value,
                waterDepthM: depth.value === '' ? null : Number(depth.value),
                sanitaryAnswers: answers.value,
                note,
                findings: findings.value.map(findingOf),
              },
              title: {
                kind: 'inspection',
                at: code,
                of: say(`visit-${kind.value as (typeof KINDS)[number]}`),
                value: say(`condition-${condition.value as (typeof CONDITIONS)[number]}`),
                buildId,
              },
            },
          ];
        }}
        onKept={() => {
          answers.value = {};
          findings.value = [];
          depth.value = '';
        }}
      >
        <Field label={say('kind-of-visit')}>
          <select
            value={kind.value}
            onChange={(event: Event) => {
              kind.value = (event.currentTarget as HTMLSelectElement).value;
            }}
          >
            {KINDS.map((each) => (
              <option key={each} value={each}>
                {say(`visit-${each}`)}
              </option>
            ))}
          </select>
        </Field>
        <Field label={say('condition')}>
          <select
            required
            value={condition.value}
            onChange={(event: Event) => {
              condition.value = (event.currentTarget as HTMLSelectElement).value;
            }}
          >
            <option value="" />
            {CONDITIONS.map((each) => (
              <option key={each} value={each}>
                {say(`condition-${each}`)}
              </option>
            ))}
          </select>
        </Field>
        <Field label={say('water-depth')}>
          <input
            type="number"
            inputMode="decimal"
            min={0}
            max={20}
            step="any"
            value={depth.value}
            onInput={(event: Event) => {
              depth.value = (event.currentTarget as HTMLInputElement).value;
            }}
          />
        </Field>
        <SanitaryAnswers
          answers={answers.value}
          onChange={(next) => {
            answers.value = next;
          }}
        />
        {findings.value.map((finding, index) => (
          <FindingLine
            key={index}
            finding={finding}
            onChange={(next) => {
              findings.value = findings.value.with(index, next);
            }}
          />
        ))}
        <Button
          onClick={() => {
            findings.value = [...findings.value, NO_FINDING];
          }}
        >
          {say('add-finding')}
        </Button>
      </KeepForm>
    </>
  );
}
