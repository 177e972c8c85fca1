import { Field } from '../../parts/field.tsx';
import { say } from '../say.ts';

const SEVERITIES = ['note', 'minor', 'major', 'danger'] as const;

export interface Finding {
  readonly part: string;
  readonly severity: (typeof SEVERITIES)[number];
  readonly description: string;
  readonly action: string;
  readonly dueOn: string;
}

export const NO_FINDING: Finding = {
  part: '',
  severity: 'minor',
  description: '',
  action: '',
  dueOn: '',
};

/** A finding as the service takes it; an action goes with a day. */
export const findingOf = ({ part, severity, description, action, dueOn }: Finding) => ({
  part,
  severity,
  description,
  actions: action ? [{ description: action, dueOn }] : [],
});

interface FindingLineProps {
  readonly finding: Finding;
  readonly onChange: (next: Finding) => void;
}

/** What was found, how grave it is, and what is to be done by when. */
export function FindingLine({ finding, onChange }: FindingLineProps) {
  const isDanger = finding.severity === 'danger';
  const set = (name: keyof Finding) => (event: Event) => {
    onChange({ ...finding, [name]: (event.currentTarget as HTMLInputElement).value });
  };
  return (
    <fieldset class="panel">
      <legend>{say('finding')}</legend>
      <Field label={say('part')}>
        <input required maxLength={60} value={finding.part} onInput={set('part')} />
      </Field>
      <Field label={say('severity')}>
        <select value={finding.severity} onChange={set('severity')}>
          {SEVERITIES.map((each) => (
            <option key={each} value={each}>
              {say(`severity-${each}`)}
            </option>
          ))}
        </select>
      </Field>
      <Field label={say('description')}>
        <textarea
          required
          rows={2}
          maxLength={2_000}
          value={finding.description}
          onInput={set('description')}
        />
      </Field>
      <Field label={say('action')} hint={isDanger ? say('action-needed') : undefined}>
        <input required={isDanger} maxLength={500} value={finding.action} onInput={set('action')} />
      </Field>
      <Field label={say('due-on')}>
        <input
          type="date"
          required={finding.action !== ''}
          value={finding.dueOn}
          onInput={set('dueOn')}
        />
      </Field>
    </fieldset>
  );
}
