/** A length as built, in whole millimetres. */
export const printedMm = (lengthM: number): string => String(Math.round(lengthM * 1000));

/** A force in kilonewtons, two decimals. */
export const printedKn = (forceN: number): string => (forceN / 1000).toFixed(2);

/** A stress in megapascals, one decimal. */
export const printedMpa = (stressPa: number): string => (stressPa / 1e6).toFixed(1);

/** Demand over capacity, three decimals. */
export const printedRatio = (ratio: number): string => ratio.toFixed(3);

/** A length in metres, two decimals. */
export const printedM = (lengthM: number): string => lengthM.toFixed(2);
