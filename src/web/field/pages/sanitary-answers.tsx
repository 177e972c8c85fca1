import type { SANITARY_RISKS } from '../../../../shared/contract/inspection.ts';
import { say } from '../say.ts';

type Risk = keyof typeof SANITARY_RISKS;

const RISKS = [
  'roof-dirty',
  'gutters-dirty',
  'inlet-screen-faulty',
  'opening-uncovered',
  'wall-or-cover-damaged',
  'tap-faulty',
  'tap-slab-faulty',
  'drainage-poor',
  'pollution-near',
  'bucket-exposed',
] as const satisfies readonly Risk[];

export type Answers = Readonly<Partial<Record<Risk, boolean>>>;

interface SanitaryAnswersProps {
  readonly answers: Answers;
  readonly onChange: (next: Answers) => void;
}

/** Ten things that let dirt in; what was not looked at is not answered, and counts as nothing. */
export function SanitaryAnswers({ answers, onChange }: SanitaryAnswersProps) {
  const choose = (risk: Risk, answer: boolean | undefined) => {
    const { [risk]: _before, ...others } = answers;
    onChange(answer === undefined ? others : { ...others, [risk]: answer });
  };
  return (
    <details class="panel">
      <summary>
        <strong>{say('sanitary')}</strong>
      </summary>
      {RISKS.map((risk) => (
        <fieldset key={risk} class="choice">
          <legend>{say(risk)}</legend>
          {([true, false, undefined] as const).map((answer) => (
            <label key={String(answer)}>
              <input
                type="radio"
                name={risk}
                checked={answers[risk] === answer}
                onChange={() => choose(risk, answer)}
              />
              {say(
                answer === undefined ? 'not-looked-at' : answer ? 'risk-there' : 'risk-not-there',
              )}
            </label>
          ))}
        </fieldset>
      ))}
    </details>
  );
}
