/**
 * Direct tension permitted in hand-mixed mortar of the wall, half of the 1.2 MPa that the concrete
 * code gives for M20. No source for site mortar was found.
 */
export const MORTAR_DIRECT_TENSION_LIMIT_PA = 600_000;

/** Tension in bending permitted in hand-mixed mortar, half of the 1.7 MPa of M20. Ours. */
export const MORTAR_BENDING_TENSION_LIMIT_PA = 850_000;

/** Upper limits of the concrete code for M20, never to be exceeded by any mortar here. */
export const CODE_DIRECT_TENSION_LIMIT_PA = 1_200_000;
export const CODE_BENDING_TENSION_LIMIT_PA = 1_700_000;

/** Compressive strength taken for hand-mixed mortar. Ours. */
export const MORTAR_STRENGTH_PA = 15_000_000;

/** Share of the compressive strength that may be used. */
export const MORTAR_COMPRESSION_RATIO = 0.45;
