/**
 * What one unit of a material weighs [kg] and takes of a store's floor when stacked [m²]: round
 * figures, invented for the demonstration, except the steel band (7850 kg/m³ · 25 mm · 2 mm).
 */
type Handling = readonly [massKgPerUnit: number, storageM2PerUnit: number | null];

export const HANDLING: Readonly<Record<string, Handling>> = {
  cement: [1, 0.0008],
  sand: [1550, null],
  'coarse-aggregate': [1500, null],
  hardcore: [1600, null],
  water: [1, null],
  'bamboo-culm': [14, 0.06],
  borax: [1, 0.001],
  'boric-acid': [1, 0.001],
  'bitumen-emulsion': [1, 0.004],
  'temporary-post': [6, 0.02],
  'steel-band-25x2': [0.3925, 0.004],
  'bolt-m8': [0.05, 0.0002],
  'binding-wire': [1, 0.003],
  'hatch-frame': [9, 0.08],
  'hatch-lid': [12, 0.08],
  'inlet-fitting': [2, 0.02],
  'overflow-fitting': [2.5, 0.02],
  'insect-screen': [0.4, 0.004],
  'washout-fitting': [3, 0.02],
  tap: [0.6, 0.002],
  'curing-cover': [0.5, 0.003],
  'cement-primer': [1.1, 0.004],
  'masonry-paint': [1.4, 0.004],
  'calcium-hypochlorite-65': [1, 0.003],
};

/** What goes by lots: cement ages from its manufacture, treated bamboo has its certificate. */
const LOTS: Readonly<Record<string, object>> = {
  cement: { lotIdentity: 'manufacture-date', shelfLifeDays: 90 },
  'bamboo-culm': { lotIdentity: 'treatment-certificate' },
};

/** The fields of a material that say how it is carried and stored; labour has none. */
export function handlingOf(code: string): object {
  const handling = HANDLING[code];
  if (!handling) return {};
  const [massKgPerUnit, storageM2PerUnit] = handling;
  return { massKgPerUnit, storageM2PerUnit, ...LOTS[code] };
}
