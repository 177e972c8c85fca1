import { requireNotNegative, requirePositive } from '../errors.ts';

/** Default depth diverted on each wet day, and the range that forms should offer. Ours. */
export const FIRST_FLUSH_DEFAULT_MM = 1;
export const FIRST_FLUSH_GREATEST_MM = 5;

/**
 * Volume that a first-flush diverter must hold for a depth of rain on the roof it serves.
 *
 *   volume = A · f   (1 mm on 1 m² is 1 L)
 *
 * The diverter must drain itself, in about a day, or the next rain is not diverted at all.
 *
 * @param planAreaM2 A, roof plan area [m²]
 * @param firstFlushMm f, depth diverted [mm]
 * @returns litres
 * @throws {EngineError} `out-of-range` for an area not above 0 or a negative depth
 * @source own-first-flush-convention
 */
export function firstFlushVolume(planAreaM2: number, firstFlushMm: number): number {
  requirePositive({ planAreaM2 });
  requireNotNegative({ firstFlushMm });
  return planAreaM2 * firstFlushMm;
}

/**
 * Depth of rain to divert by the rule of thumb that each millimetre flushed away halves the
 * contamination of what follows.
 *
 *   f = log2(C_in / C_target), 0 when the target is already met
 *
 * Measured roofs scatter widely about the rule (25 mm has been needed on a ceramic-tile roof); no
 * depth makes water fit to drink.
 *
 * @param incoming C_in, contamination of the first water, in any unit
 * @param target C_target, in the same unit, above 0
 * @returns millimetres
 * @throws {EngineError} `out-of-range` for a target not above 0 or a negative incoming value
 * @source martinson-thomas-2005 rule of thumb
 */
export function firstFlushDepth(incoming: number, target: number): number {
  requireNotNegative({ incoming });
  requirePositive({ target });
  return incoming > target ? Math.log2(incoming / target) : 0;
}

/** Litres in a US gallon and square metres in 100 ft², exact by definition of inch and gallon. */
const LITRES_PER_US_GALLON = 3.785411784;
const M2_PER_100_FT2 = 9.290304;

/**
 * First-flush depth given as US gallons per 100 square feet, as American manuals print it.
 *
 * @returns millimetres; 1 gal per 100 ft² is 0.407458 mm
 * @throws {EngineError} for a negative value
 * @source nist-sp-811 Appendix B
 */
export function firstFlushDepthFromUsGallons(gallonsPer100Ft2: number): number {
  requireNotNegative({ gallonsPer100Ft2 });
  return (gallonsPer100Ft2 * LITRES_PER_US_GALLON) / M2_PER_100_FT2;
}
