/**
 * Units in which materials are counted, UNECE Recommendation 20.
 *
 * @source unece-rec-20
 */
export const UNIT_NAMES = {
  KGM: 'kilogram',
  GRM: 'gram',
  TNE: 'tonne (metric ton)',
  LTR: 'litre',
  MTR: 'metre',
  KMT: 'kilometre',
  MTK: 'square metre',
  MTQ: 'cubic metre',
  C62: 'one',
  H87: 'piece',
  EA: 'each',
  SET: 'set',
  PR: 'pair',
  DZN: 'dozen',
  DAY: 'day',
  HUR: 'hour',
  LH: 'labour hour',
} as const;

/**
 * Packages in which materials are sold, UNECE Recommendation 21 with the prefix X that
 * Recommendation 20 gives them.
 *
 * @source unece-rec-21
 */
export const PACK_NAMES = {
  XBG: 'Bag',
  X5M: 'Bag, paper',
  XXJ: 'Bag, paper, multi-wall',
  X5H: 'Bag, woven plastic',
  XEC: 'Bag, plastic',
  XSA: 'Sack',
  XMS: 'Sack, multi-wall',
  XRO: 'Roll',
  XCL: 'Coil',
  XBE: 'Bundle',
  XBH: 'Bunch',
  XBR: 'Bar',
  XRD: 'Rod',
  XTU: 'Tube',
  XBZ: 'Bars, in bundle/bunch/truss',
  XSZ: 'Sheets, in bundle/bunch/truss',
  XPZ: 'Planks, in bundle/bunch/truss',
  XBX: 'Box',
  XCT: 'Carton',
  XPA: 'Packet',
  XPK: 'Package',
  XBJ: 'Bucket',
  XPL: 'Pail',
  XTN: 'Tin',
  XCX: 'Can, cylindrical',
  X3H: 'Jerrican, plastic',
  X3A: 'Jerrican, steel',
  XBO: 'Bottle, non-protected, cylindrical',
  XDR: 'Drum',
  XIH: 'Drum, plastic',
  XPX: 'Pallet',
  XVR: 'Bulk, solid, granular particles (“grains”)',
  XVO: 'Bulk, solid, large particles (“nodules”)',
  XVL: 'Bulk, liquid',
  XNE: 'Unpacked or unpackaged',
} as const;

export type MaterialUnitCode = keyof typeof UNIT_NAMES;
export type PackCode = keyof typeof PACK_NAMES | MaterialUnitCode;

export const MATERIAL_UNIT_CODES = Object.keys(UNIT_NAMES) as MaterialUnitCode[];

/** A pack is a package, or a unit when something is sold loose by the tonne or the piece. */
export const PACK_CODES = [...Object.keys(PACK_NAMES), ...MATERIAL_UNIT_CODES] as PackCode[];

/**
 * The name of a unit or package in the recommendations' own words.
 *
 * @source unece-rec-20
 */
export function unitName(code: PackCode): string {
  return code in PACK_NAMES
    ? PACK_NAMES[code as keyof typeof PACK_NAMES]
    : UNIT_NAMES[code as MaterialUnitCode];
}
