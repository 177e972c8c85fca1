import { Field } from './field.tsx';

interface ChoiceProps {
  readonly label: string;
  readonly value: string;
  /** What leaves nothing out. */
  readonly any: string;
  readonly choices: readonly (readonly [value: string, name: string])[];
  readonly onChoose: (value: string) => void;
}

/** A choice among names, or all of them. */
export function Choice({ label, value, any, choices, onChoose }: ChoiceProps) {
  return (
    <Field label={label}>
      <select value={value} onChange={(event) => onChoose(event.currentTarget.value)}>
        <option value="">{any}</option>
        {choices.map(([each, name]) => (
          <option key={each} value={each}>
            {name}
          </option>
        ))}
      </select>
    </Field>
  );
}
