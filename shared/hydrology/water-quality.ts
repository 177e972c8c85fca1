import { EngineError, requireNotNegative } from '../errors.ts';
import { RISK_LEVELS, type RiskLevel, sanitaryRisk } from './sanitary-inspection.ts';

/** A: below 1; B: 1 to 10; C: above 10 to 100; D: above 100 E. coli in 100 mL. */
export type EColiGrade = 'A' | 'B' | 'C' | 'D';

/** Counts the plate could not hold: more than this grade bound, at least. */
export type EColiCount = number | 'too-many-to-count';

/**
 * Risk grade of an E. coli count. The edges differ in print; 1 to 10 and above 10 to 100 are used so
 * that counts between whole numbers have a grade.
 *
 * @param per100Ml count in 100 mL, from 0, or `too-many-to-count`
 * @throws {EngineError} for a negative or non-finite count
 * @source who-gdwq risk grades
 */
export function eColiGrade(per100Ml: EColiCount): EColiGrade {
  if (per100Ml === 'too-many-to-count') return 'D';
  requireNotNegative({ per100Ml });
  if (per100Ml < 1) return 'A';
  if (per100Ml <= 10) return 'B';
  return per100Ml <= 100 ? 'C' : 'D';
}

/**
 * Priority of action by E. coli grade (rows) and sanitary score band (columns 0 to 2, 3 to 5, 6 to
 * 8, 9 to 10). The shading of the printed matrix was not confirmed: the cells are the worse of the
 * two grades, kept as data so that they can be corrected.
 */
export const ACTION_MATRIX: Readonly<Record<EColiGrade, readonly RiskLevel[]>> = {
  A: ['low', 'intermediate', 'high', 'very-high'],
  B: ['intermediate', 'intermediate', 'high', 'very-high'],
  C: ['high', 'high', 'high', 'very-high'],
  D: ['very-high', 'very-high', 'very-high', 'very-high'],
};

export interface ActionPriority {
  readonly priority: RiskLevel;
  /** A clean sample with the worst inspection, or the reverse: sample and inspect again. */
  readonly shouldRepeat: boolean;
}

/**
 * Priority of action from one water sample and one sanitary inspection. A clean sample never
 * cancels a bad inspection. It says nothing about whether the water is fit to drink.
 *
 * @param sanitaryScore whole number from 0 to 10; use the greatest when questions are unanswered
 * @throws {EngineError} `out-of-range` for a score that is not whole from 0 to 10
 * @source who-gdwq chapter 5 matrix
 * @source own-action-matrix
 */
export function actionPriority(grade: EColiGrade, sanitaryScore: number): ActionPriority {
  const band = RISK_LEVELS.indexOf(sanitaryRisk(sanitaryScore));
  const priority = ACTION_MATRIX[grade][band] as RiskLevel;
  const shouldRepeat = (grade === 'A' && band === 3) || (grade === 'D' && band === 0);
  return { priority, shouldRepeat };
}

export interface ChlorineReading {
  readonly freeChlorineMgPerL: number;
  readonly contactMinutes: number;
  readonly ph: number;
  readonly turbidityNtu: number;
}

export type ChlorineFinding =
  | 'contact-too-short'
  | 'ph-too-high'
  | 'too-cloudy'
  | 'cloudier-than-aim'
  | 'residual-too-low'
  | 'residual-too-high';

/**
 * What a chlorine reading leaves to be done. No finding means that the conditions under which
 * chlorine works were met, not that the water is fit to drink.
 *
 *   free chlorine 0.5 to 5 mg/L after 30 minutes or more, pH below 8, turbidity at most 5 NTU with
 *   an aim below 1 NTU
 *
 * @throws {EngineError} for negative values, or a pH outside 0 to 14
 * @source who-gdwq chlorine
 * @source enhealth-2010
 */
export function chlorineFindings(reading: ChlorineReading): ChlorineFinding[] {
  const { freeChlorineMgPerL, contactMinutes, ph, turbidityNtu } = reading;
  requireNotNegative({ freeChlorineMgPerL, contactMinutes, ph, turbidityNtu });
  if (ph > 14) throw new EngineError('out-of-range', 'ph', ph, 'must lie between 0 and 14');
  const findings: ChlorineFinding[] = [];
  if (contactMinutes < 30) findings.push('contact-too-short');
  if (ph >= 8) findings.push('ph-too-high');
  if (turbidityNtu > 5) findings.push('too-cloudy');
  else if (turbidityNtu >= 1) findings.push('cloudier-than-aim');
  if (freeChlorineMgPerL < 0.5) findings.push('residual-too-low');
  if (freeChlorineMgPerL > 5) findings.push('residual-too-high');
  return findings;
}
