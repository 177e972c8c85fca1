import { describe, expect, it } from 'vitest';
import {
  ACTION_MATRIX,
  actionPriority,
  chlorineFindings,
  eColiGrade,
  RAINWATER_SANITARY_FORM,
  RISK_LEVELS,
  type SanitaryAnswer,
  sanitaryRisk,
  sanitaryScore,
  serviceRung,
} from '../../../shared/index.ts';
import { expectRefusal } from './refusal.ts';

const ids = RAINWATER_SANITARY_FORM.questions.map((question) => question.id);
const answersOf = (yes: number, no: number) =>
  Object.fromEntries(ids.slice(0, yes + no).map((id, n) => [id, n < yes ? 'yes' : 'no'] as const));

describe('sanitary inspection', () => {
  it('asks ten questions, once each', () => {
    expect(new Set(ids).size).toBe(10);
  });

  // WHO GDWQ vol. 3 (1997) Annex 2, bands [memory]: 0-2 low, 3-5 intermediate, 6-8 high, 9-10 very high.
  it('bands the score as the guidelines do', () => {
    const bands = Array.from({ length: 11 }, (_, score) => sanitaryRisk(score));
    expect(bands).toEqual([
      ...new Array(3).fill('low'),
      ...new Array(3).fill('intermediate'),
      ...new Array(3).fill('high'),
      ...new Array(2).fill('very-high'),
    ]);
    for (const score of [-1, 11, 2.5]) {
      expectRefusal(() => sanitaryRisk(score), 'out-of-range', 'score');
    }
  });

  it('reports a range where answers are missing, never a no', () => {
    expect(sanitaryScore(answersOf(2, 4))).toEqual({
      leastScore: 2,
      greatestScore: 6,
      unansweredCount: 4,
      leastRisk: 'low',
      greatestRisk: 'high',
    });
    expect(sanitaryScore(answersOf(3, 7))).toMatchObject({ leastScore: 3, greatestScore: 3 });
    expect(sanitaryScore({}).greatestRisk).toBe('very-high');
    expect(sanitaryScore({ 'tap-faulty': 'unanswered' }).unansweredCount).toBe(10);
  });

  it('refuses answers to other questions, and other answers', () => {
    expectRefusal(() => sanitaryScore({ 'fence-broken': 'yes' }), 'inconsistent', 'answers');
    const maybe = { 'tap-faulty': 'maybe' as SanitaryAnswer };
    expectRefusal(() => sanitaryScore(maybe), 'out-of-range', 'answers.tap-faulty');
  });
});

describe('water quality', () => {
  // WHO risk grades [memory]; edges for counts between whole numbers are this project's.
  it('grades E. coli, also between whole numbers', () => {
    const grades = [0, 0.9, 1, 10, 10.5, 100, 101].map(eColiGrade);
    expect(grades).toEqual(['A', 'A', 'B', 'B', 'C', 'C', 'D']);
    expect(eColiGrade('too-many-to-count')).toBe('D');
    expectRefusal(() => eColiGrade(-1), 'out-of-range', 'per100Ml');
  });

  it('takes the worse of the two grades in every cell', () => {
    (['A', 'B', 'C', 'D'] as const).forEach((grade, row) => {
      ACTION_MATRIX[grade].forEach((level, column) => {
        expect(RISK_LEVELS.indexOf(level)).toBe(Math.max(row, column));
      });
    });
  });

  it('asks to look again where sample and inspection disagree widely', () => {
    expect(actionPriority('A', 9)).toEqual({ priority: 'very-high', shouldRepeat: true });
    expect(actionPriority('D', 2)).toEqual({ priority: 'very-high', shouldRepeat: true });
    expect(actionPriority('A', 8)).toEqual({ priority: 'high', shouldRepeat: false });
    expect(actionPriority('D', 3)).toEqual({ priority: 'very-high', shouldRepeat: false });
    expect(actionPriority('A', 0)).toEqual({ priority: 'low', shouldRepeat: false });
    expectRefusal(() => actionPriority('A', 11), 'out-of-range', 'score');
  });

  // WHO GDWQ [memory], enHealth (2010): 0.5 mg/L after 30 min at pH below 8; maximum 5 mg/L; 5 NTU.
  it('finds what keeps chlorine from working', () => {
    const good = { freeChlorineMgPerL: 0.5, contactMinutes: 30, ph: 7.9, turbidityNtu: 0.9 };
    const found = (change: Partial<typeof good>) => chlorineFindings({ ...good, ...change });
    expect(found({})).toEqual([]);
    expect(found({ freeChlorineMgPerL: 5, turbidityNtu: 1 })).toEqual(['cloudier-than-aim']);
    expect(found({ freeChlorineMgPerL: 5.1, turbidityNtu: 5.1 })).toEqual([
      'too-cloudy',
      'residual-too-high',
    ]);
    expect(found({ freeChlorineMgPerL: 0.4, contactMinutes: 29, ph: 8 })).toEqual([
      'contact-too-short',
      'ph-too-high',
      'residual-too-low',
    ]);
    expectRefusal(() => found({ ph: 14.1 }), 'out-of-range', 'ph');
    expectRefusal(() => found({ turbidityNtu: -1 }), 'out-of-range', 'turbidityNtu');
  });
});

// Joint Monitoring Programme ladder: basic up to a 30-minute round trip, limited above.
describe('rung of the service ladder', () => {
  const seen = {
    sourceKind: 'improved',
    roundTripMinutes: 30,
    isOnPremises: true,
    isAvailableWhenNeeded: true,
    isFreeFromContamination: true,
  } as const;

  it('parts basic from limited at 30 minutes', () => {
    expect(serviceRung(seen)).toEqual({ rung: 'basic', notShownForHigherRung: [] });
    expect(serviceRung({ ...seen, roundTripMinutes: 31 }).rung).toBe('limited');
  });

  it('takes what nobody has looked at as not shown', () => {
    const unknown = { ...seen, isAvailableWhenNeeded: null, isFreeFromContamination: null };
    expect(serviceRung(unknown).notShownForHigherRung).toEqual([
      'available-when-needed',
      'free-from-contamination',
    ]);
    expect(serviceRung({ ...seen, isOnPremises: false }).notShownForHigherRung).toEqual([
      'on-premises',
    ]);
  });

  it('passes other sources through and refuses a negative round trip', () => {
    expect(serviceRung({ ...seen, sourceKind: 'unimproved' }).rung).toBe('unimproved');
    expect(serviceRung({ ...seen, sourceKind: 'surface-water' }).rung).toBe('surface-water');
    expectRefusal(
      () => serviceRung({ ...seen, roundTripMinutes: -1 }),
      'out-of-range',
      'roundTripMinutes',
    );
  });
});
