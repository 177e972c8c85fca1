import type { MeasureName } from './measures.ts';
import type { LabourWork, MixWork, TakeoffRecipe } from './recipe.ts';
import { labour, material, mix } from './recipe-lines.ts';

/** Mason 0.081 and helpers 0.066 day/m² for a coat of 12 to 13 mm. */
const COAT_MASON_DAYS_PER_M2 = 0.08125;
const COAT_LABOURER_DAYS_PER_M2 = 0.065625;
const DRY_BORATE_KG_PER_M3 = 25.5;
const CURING_WATER_L_PER_M2 = 7.5 * 14;

const wallCoat = (
  stageCode: string,
  measure: MeasureName,
  shareOfWallMortar: number,
  allowanceRatio: number,
): (MixWork | LabourWork)[] => [
  mix([stageCode, stageCode, 'wall'], measure, {
    mix: '1:3',
    layer: { shareOfWallMortar },
    allowanceRatio,
  }),
  labour([`${stageCode}-mason`, stageCode, 'wall'], 'mason', COAT_MASON_DAYS_PER_M2, measure),
  labour(
    [`${stageCode}-labourer`, stageCode, 'wall'],
    'labourer',
    COAT_LABOURER_DAYS_PER_M2,
    measure,
  ),
];

const groundAndSlab = [
  material(['hardcore', 'ground-and-slab', 'slab'], 'hardcore', 'MTQ', 0.1, 'slabAreaM2', 0.1),
  mix(['slab', 'ground-and-slab', 'slab'], 'slabVolumeM3', { mix: '1:2:4' }),
  // 0.20 m of ground taken out at 0.62 day/m³
  labour(['excavation', 'ground-and-slab', 'slab'], 'labourer', 0.62 * 0.2, 'slabAreaM2'),
  labour(['slab-mason', 'ground-and-slab', 'slab'], 'mason', 0.1, 'slabVolumeM3'),
  labour(['slab-labourer', 'ground-and-slab', 'slab'], 'labourer', 1.63 + 0.7, 'slabVolumeM3'),
];

const bambooAndFrame = [
  material(
    ['wall-board-culms', 'bamboo-preparation', 'wall'],
    'bamboo-culm',
    'H87',
    1,
    'boardCulms',
    0.1,
  ),
  material(
    ['wall-hoop-culms', 'bamboo-preparation', 'wall'],
    'bamboo-culm',
    'H87',
    1,
    'hoopCulms',
    0.15,
  ),
  material(
    ['roof-strip-culms', 'bamboo-preparation', 'roof'],
    'bamboo-culm',
    'H87',
    1,
    'roofStripCulms',
    0.15,
  ),
  material(
    ['borax', 'bamboo-preparation', 'bamboo'],
    'borax',
    'KGM',
    DRY_BORATE_KG_PER_M3 * 0.6,
    'bambooWoodM3',
    0.1,
  ),
  material(
    ['boric-acid', 'bamboo-preparation', 'bamboo'],
    'boric-acid',
    'KGM',
    DRY_BORATE_KG_PER_M3 * 0.4,
    'bambooWoodM3',
    0.1,
  ),
  // one coat at 5 m²/L, then about 1 L of sand per m² thrown on while it is tacky
  material(
    ['bond-coat', 'bamboo-preparation', 'bamboo'],
    'bitumen-emulsion',
    'LTR',
    1 / 5,
    'bambooSurfaceM2',
    0.05,
  ),
  material(
    ['bond-sand', 'bamboo-preparation', 'bamboo'],
    'sand',
    'MTQ',
    0.001,
    'bambooSurfaceM2',
    0.15,
  ),
  labour(['bamboo-work', 'bamboo-preparation', 'bamboo'], 'bamboo-worker', 0.15, 'culms'),
  // eight posts, used on ten tanks
  material(['posts', 'frame', 'frame'], 'temporary-post', 'H87', 8 / 10, 'one', 0),
  {
    ...material(['wall-bands', 'frame', 'wall'], 'steel-band', 'MTR', 1, 'bandLengthM', 0.02),
    sizedByBand: true,
  },
  {
    ...material(
      ['springing-band', 'frame', 'roof'],
      'steel-band',
      'MTR',
      1,
      'springingBandLengthM',
      0.02,
    ),
    sizedByBand: true,
  },
  material(['band-bolts', 'frame', 'wall'], 'bolt-m8', 'H87', 2, 'bandCount', 0.05),
  labour(['frame-mason', 'frame', 'frame'], 'mason', 0.1, 'bandCount'),
  labour(['frame-worker', 'frame', 'frame'], 'bamboo-worker', 0.15, 'bandCount'),
];

const boardsAndGrid = [
  material(['wall-wire', 'wall-boards', 'wall'], 'binding-wire', 'KGM', 1, 'hoopTieWireKg', 0.05),
  labour(['wall-boards-worker', 'wall-boards', 'wall'], 'bamboo-worker', 0.12, 'boardAreaM2'),
  material(['roof-wire', 'roof-grid', 'roof'], 'binding-wire', 'KGM', 1, 'roofTieWireKg', 0.05),
  labour(['roof-grid-worker', 'roof-grid', 'roof'], 'bamboo-worker', 0.3, 'domeAreaM2'),
];

const fittings = [
  material(['hatch-frame', 'openings', 'fittings'], 'hatch-frame', 'SET', 1, 'one', 0),
  material(['hatch-lid', 'openings', 'fittings'], 'hatch-lid', 'H87', 1, 'one', 0),
  material(['inlet', 'openings', 'fittings'], 'inlet-fitting', 'SET', 1, 'one', 0),
  material(['overflow', 'openings', 'fittings'], 'overflow-fitting', 'SET', 1, 'one', 0),
  material(['screen', 'openings', 'fittings'], 'insect-screen', 'MTK', 0.25, 'one', 0),
  material(['washout', 'openings', 'fittings'], 'washout-fitting', 'SET', 1, 'one', 0),
  material(['tap', 'openings', 'fittings'], 'tap', 'H87', 1, 'one', 0),
  labour(['openings-mason', 'openings', 'fittings'], 'mason', 0.5, 'one'),
];

const FOOT_FILLET = {
  mix: '1:2',
  volumeM3PerMeasure: 0.075 ** 2 / 2,
  allowanceRatio: 0.2,
} as const;

const mortarWork = [
  mix(['foot-gap', 'wall-foot', 'foot'], 'wallFootAreaM2', {
    mix: '1:2',
    layer: { fixedM: 0.02 },
    allowanceRatio: 0.2,
  }),
  mix(['foot-fillet-inside', 'wall-foot', 'foot'], 'insideCircumferenceM', FOOT_FILLET),
  mix(['foot-fillet-outside', 'wall-foot', 'foot'], 'outsideCircumferenceM', FOOT_FILLET),
  labour(['foot-mason', 'wall-foot', 'foot'], 'mason', 0.05, 'outsideCircumferenceM'),
  ...wallCoat('outside-first-coat', 'outsideWallAreaM2', 0.2, 0.2),
  ...wallCoat('outside-final-coat', 'outsideWallAreaM2', 0.3, 0.12),
  ...wallCoat('inside-first-coat', 'insideWallAreaM2', 0.2, 0.2),
  ...wallCoat('inside-final-coat', 'insideWallAreaM2', 0.3, 0.12),
  mix(['floor-screed', 'inside-final-coat', 'floor'], 'floorAreaM2', {
    mix: '1:3',
    layer: { fixedM: 0.03 },
    allowanceRatio: 0.12,
  }),
  // 0.60 × 0.60 × 0.10 m
  mix(['tap-stand', 'tap-stand', 'tap stand'], 'one', { mix: '1:2:4', volumeM3PerMeasure: 0.036 }),
  labour(['tap-stand-mason', 'tap-stand', 'tap stand'], 'mason', 0.25, 'one'),
  mix(['roof-coat-outside', 'roof-coat', 'roof'], 'domeAreaM2', {
    mix: '1:3',
    layer: { shareOfRoof: 0.6 },
    allowanceRatio: 0.12,
  }),
  mix(['roof-coat-inside', 'roof-coat', 'roof'], 'domeAreaM2', {
    mix: '1:3',
    layer: { shareOfRoof: 0.4 },
    allowanceRatio: 0.12,
  }),
  labour(['roof-mason', 'roof-coat', 'roof'], 'mason', 2 * COAT_MASON_DAYS_PER_M2, 'domeAreaM2'),
  labour(
    ['roof-labourer', 'roof-coat', 'roof'],
    'labourer',
    2 * COAT_LABOURER_DAYS_PER_M2,
    'domeAreaM2',
  ),
];

const finishing = [
  material(['cement-wash', 'cement-wash', 'wall'], 'cement', 'KGM', 2, 'wetAreaM2', 0.05),
  labour(['cement-wash-mason', 'cement-wash', 'wall'], 'mason', 1 / 30, 'wetAreaM2'),
  // one cover, used on five tanks
  material(['cover', 'damp-curing', 'tank'], 'curing-cover', 'MTK', 1 / 5, 'weatherAreaM2', 0.1),
  material(
    ['curing-water', 'damp-curing', 'tank'],
    'water',
    'LTR',
    CURING_WATER_L_PER_M2,
    'weatherAreaM2',
    0,
  ),
  labour(['curing-labourer', 'damp-curing', 'tank'], 'labourer', 1, 'one'),
  material(
    ['primer', 'outside-paint', 'tank'],
    'cement-primer',
    'LTR',
    1 / 13,
    'weatherAreaM2',
    0.05,
  ),
  material(
    ['paint', 'outside-paint', 'tank'],
    'masonry-paint',
    'LTR',
    2 / 11.5,
    'weatherAreaM2',
    0.05,
  ),
  labour(['paint-painter', 'outside-paint', 'tank'], 'painter', 3 / 30, 'weatherAreaM2'),
  labour(['filling-labourer', 'filling-test', 'tank'], 'labourer', 0.5, 'one'),
  // 20 mg/L of chlorine from powder of 65 %; a starting dose, measured and flushed before use
  material(
    ['disinfectant', 'handover', 'tank'],
    'calcium-hypochlorite-65',
    'KGM',
    0.02 / 0.65,
    'waterVolumeM3',
    0,
  ),
  labour(['handover-labourer', 'handover', 'tank'], 'labourer', 0.5, 'one'),
];

/**
 * Take-off of the tank with a flattened-bamboo wall, strip hoops, steel bands and cement mortar.
 *
 * Coat shares give about 9 mm first and 13.5 mm final coats on each face of a 55 mm wall with
 * 10 mm boards. Starting values of this project without a published source, to be replaced by what
 * a programme measures: tie spacing, laps and tails, bamboo and frame labour, fillet, tap stand,
 * posts, covers and their uses.
 *
 * @source cpwd-dsr-2018 mixes
 * @source coat-practice coats, coverage and waste
 * @source is-7272 labour of earth and concrete
 * @source plaster-rate-analysis labour of coats
 * @source tank-practice make-up of the tank
 */
export const BAMBOO_BAND_MORTAR_RECIPE: TakeoffRecipe = {
  tankKindCode: 'bamboo-band-mortar',
  boardThicknessM: 0.01,
  insideMortarShareRatio: 0.5,
  bamboo: {
    culmDiameterMm: 80,
    culmWallMm: 10,
    usableLengthM: 6,
    kerfMm: 2,
    stripWidthMm: 25,
    stripThicknessMm: 10,
    splittingLossMm: 2,
    hoopsPerBandAndFace: 2,
    hoopLapM: 0.3,
    boardTopTailM: 0.1,
    roofStripTailM: 0.15,
  },
  bands: { lapM: 0.15, springingBandCount: 1 },
  ties: { hoopTieSpacingM: 0.3, tieLengthM: 0.3, wireDiameterMm: 1.22 },
  waterCementRatio: 0.5,
  labourEfficiencyRatio: 0.7,
  mixWasteRatios: { cement: 0.05, sand: 0.15, coarseAggregate: 0.08, water: 0.1 },
  works: [
    ...groundAndSlab,
    ...bambooAndFrame,
    ...boardsAndGrid,
    ...fittings,
    ...mortarWork,
    ...finishing,
  ],
};
