import { EngineError } from '../errors.ts';

export interface SanitaryQuestion {
  readonly id: string;
  /** Asked so that yes is a risk. */
  readonly text: string;
}

export interface SanitaryForm {
  /** Stored with every inspection, so that old answers keep the questions they were given to. */
  readonly version: string;
  readonly questions: readonly SanitaryQuestion[];
}

/**
 * Ten risks of a roof-water tank, in this project's own words.
 *
 * @source who-gdwq-vol3-1997 Annex 2 form for rainwater, subjects
 */
export const RAINWATER_SANITARY_FORM: SanitaryForm = {
  version: 'rainwater-1',
  questions: [
    { id: 'roof-dirty', text: 'Are there plants, droppings or dirt on the roof?' },
    { id: 'gutter-dirty', text: 'Are the gutters dirty or blocked?' },
    { id: 'inlet-screen-faulty', text: 'Is the screen or filter at the inlet missing or faulty?' },
    { id: 'opening-uncovered', text: 'Is any other opening into the tank left uncovered?' },
    { id: 'shell-damaged', text: 'Are there cracks or holes in the wall or the cover?' },
    { id: 'tap-faulty', text: 'Does the tap leak, or is it damaged?' },
    { id: 'slab-damaged', text: 'Is the slab under the tap broken or missing?' },
    { id: 'drainage-poor', text: 'Does water stand where people draw it?' },
    {
      id: 'pollution-near',
      text: 'Is there excreta, waste or another source of pollution nearby?',
    },
    { id: 'bucket-exposed', text: 'Is a bucket left where it can be soiled?' },
  ],
};

export type SanitaryAnswer = 'yes' | 'no' | 'unanswered';

export type RiskLevel = 'low' | 'intermediate' | 'high' | 'very-high';

export const RISK_LEVELS = ['low', 'intermediate', 'high', 'very-high'] as const;

export interface SanitaryScore {
  /** Answers of yes: the score if every unanswered question were a no. */
  readonly leastScore: number;
  /** The score if every unanswered question were a yes. */
  readonly greatestScore: number;
  readonly unansweredCount: number;
  readonly leastRisk: RiskLevel;
  readonly greatestRisk: RiskLevel;
}

/**
 * Score of a sanitary inspection. An unanswered question is never scored as a no: the score is a
 * range.
 *
 * @param answers by question id; a question without an entry is unanswered
 * @returns range of the score and of the risk it stands for
 * @throws {EngineError} `inconsistent` for an answer to a question that is not on the form;
 *   `out-of-range` for an answer that is none of the three
 * @source who-gdwq-vol3-1997 Annex 2
 * @source own-sanitary-range
 */
export function sanitaryScore(
  answers: Readonly<Record<string, SanitaryAnswer>>,
  form: SanitaryForm = RAINWATER_SANITARY_FORM,
): SanitaryScore {
  const ids = new Set(form.questions.map((question) => question.id));
  for (const [id, answer] of Object.entries(answers)) {
    if (!ids.has(id)) {
      const limit = `must be a question of form ${form.version}`;
      throw new EngineError('inconsistent', 'answers', id, limit);
    }
    if (answer !== 'yes' && answer !== 'no' && answer !== 'unanswered') {
      throw new EngineError(
        'out-of-range',
        `answers.${id}`,
        answer,
        'must be yes, no or unanswered',
      );
    }
  }
  let leastScore = 0;
  let unansweredCount = 0;
  for (const id of ids) {
    const answer = answers[id] ?? 'unanswered';
    if (answer === 'yes') leastScore += 1;
    if (answer === 'unanswered') unansweredCount += 1;
  }
  const greatestScore = leastScore + unansweredCount;
  return {
    leastScore,
    greatestScore,
    unansweredCount,
    leastRisk: sanitaryRisk(leastScore),
    greatestRisk: sanitaryRisk(greatestScore),
  };
}

/**
 * Risk band of a score out of ten. Bands recalled [memory].
 *
 * @param score whole number from 0 to 10
 * @throws {EngineError} `out-of-range` otherwise
 * @source who-gdwq-vol3-1997 Annex 2
 */
export function sanitaryRisk(score: number): RiskLevel {
  if (!Number.isInteger(score) || score < 0 || score > 10) {
    throw new EngineError('out-of-range', 'score', score, 'must be a whole number from 0 to 10');
  }
  if (score <= 2) return 'low';
  if (score <= 5) return 'intermediate';
  return score <= 8 ? 'high' : 'very-high';
}
