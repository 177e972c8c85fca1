/**
 * Cautions shown with every dose.
 *
 * @source enhealth-2010 section 5
 * @source common-practice-chlorine
 */
export const DOSING_CAUTIONS: readonly string[] = [
  'Add powder to water, never water to powder.',
  'Never mix chlorine products with each other or with acids.',
  'Wear gloves and eye protection; work in the open air.',
  'Do not enter the tank to dose, spray or brush: a tank is a confined space.',
  'Do not let strong chlorine run to streams or fish ponds.',
  'Chlorine is weak against Cryptosporidium. Only the health authority can declare water fit to drink.',
];

export const DRINKING_DOSE_CAUTIONS: readonly string[] = [
  'Starting dose: measure free chlorine after 30 minutes; the target is 0.5 mg/L, at pH below 8.',
  'Wait at least one hour before use.',
  'Water that flows in later is not disinfected.',
];

export const SHOCK_DOSE_CAUTIONS: readonly string[] = [
  'Not drinkable: mark the tap, and run the water to waste.',
  'Nobody drinks from the tank until free chlorine has been measured at 5 mg/L or less.',
];

export const OLD_PRODUCT_CAUTION =
  'The product is old: it may be weaker than its label. Measure the residual before relying on it.';

export interface ShockMethod {
  readonly id: 'fill' | 'spray' | 'bottom-then-fill';
  readonly title: string;
  /** Chlorine in the solution used. */
  readonly doseMgPerL: number;
  /** Free chlorine that must remain at the end; null when the method names none. */
  readonly leastResidualMgPerL: number | null;
  /** Holding time; 6 hours for `fill` where the dose was even while filling [memory]. */
  readonly holdingHours: number;
}

/**
 * The three methods for a new or repaired tank. Holding times are recalled [memory].
 *
 * @source awwa-c652 methods 1 to 3
 */
export const SHOCK_METHODS: readonly ShockMethod[] = [
  {
    id: 'fill',
    title: 'Fill so that at least 10 mg/L remains at the end of the holding time',
    doseMgPerL: 10,
    leastResidualMgPerL: 10,
    holdingHours: 24,
  },
  {
    id: 'spray',
    title: 'Spray or brush every wetted surface with 200 mg/L, from outside the tank',
    doseMgPerL: 200,
    leastResidualMgPerL: null,
    holdingHours: 0.5,
  },
  {
    id: 'bottom-then-fill',
    title: 'Put 50 mg/L in the bottom, then fill and keep at least 2 mg/L for 24 hours',
    doseMgPerL: 50,
    leastResidualMgPerL: 2,
    holdingHours: 24,
  },
];
