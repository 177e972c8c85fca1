import type { SourceId } from '../sources.ts';

/** Ground classes; `null` bearing means that no table gives a value and the ground must be tested. */
export const SOIL_CLASSES = [
  'sound-rock',
  'weak-rock',
  'dense-gravel',
  'loose-gravel',
  'dense-sand',
  'loose-sand',
  'silt',
  'stiff-clay',
  'firm-clay',
  'soft-clay',
  'very-soft-clay',
  'black-cotton-soil',
  'peat',
  'made-ground',
  'unknown',
] as const;

export type SoilClass = (typeof SOIL_CLASSES)[number];

export interface PresumptiveRow {
  readonly source: SourceId;
  readonly description: string;
  readonly bearingKPa: number;
}

export interface SoilRecord {
  readonly title: string;
  /** Rows of published tables that may apply; the lowest governs. */
  readonly rows: readonly PresumptiveRow[];
  readonly sliding: SlidingRule;
  readonly isGranular: boolean;
  /** Why an engineer must look at this ground, or null. */
  readonly reviewReason: string | null;
}

export type SlidingRule =
  | { readonly kind: 'friction'; readonly coefficient: number }
  | { readonly kind: 'cohesion'; readonly cohesionPa: number };

const ibc = (description: string, bearingKPa: number): PresumptiveRow => ({
  source: 'ibc-2012-1806',
  description,
  bearingKPa,
});
const is1904 = (description: string, bearingKPa: number): PresumptiveRow => ({
  source: 'is-1904',
  description,
  bearingKPa,
});
const field = (description: string, bearingKPa: number): PresumptiveRow => ({
  source: 'field-bearing-table',
  description,
  bearingKPa,
});
const bs8004 = (description: string, bearingKPa: number): PresumptiveRow => ({
  source: 'bs-8004',
  description,
  bearingKPa,
});

const IBC_CRYSTALLINE = ibc('crystalline bedrock', 575);
const IBC_SEDIMENTARY = ibc('sedimentary and foliated rock', 192);
const IBC_GRAVEL = ibc('sandy gravel and gravel', 144);
const IBC_SAND = ibc('sand, silty or clayey sand, silty or clayey gravel', 96);
const IBC_CLAY = ibc('clay, sandy clay, silty clay, silt', 72);

const ROCK_SLIDING = { kind: 'friction', coefficient: 0.7 } as const;
const WEAK_ROCK_OR_GRAVEL_SLIDING = { kind: 'friction', coefficient: 0.35 } as const;
const SAND_SLIDING = { kind: 'friction', coefficient: 0.25 } as const;
/** 130 psf. */
const CLAY_SLIDING = { kind: 'cohesion', cohesionPa: 6200 } as const;

const MUST_TEST = 'no presumptive bearing value applies; the ground must be investigated';

/** Published presumptive bearing of each ground class, in kPa as printed. */
export const SOILS: Readonly<Record<SoilClass, SoilRecord>> = {
  'sound-rock': {
    title: 'Sound rock without layers',
    rows: [IBC_CRYSTALLINE, is1904('hard rock without lamination', 3240), field('sound rock', 500)],
    sliding: ROCK_SLIDING,
    isGranular: false,
    reviewReason: null,
  },
  'weak-rock': {
    title: 'Layered, shattered or soft rock',
    rows: [IBC_SEDIMENTARY, is1904('soft rock', 440), field('clay shale', 300)],
    sliding: WEAK_ROCK_OR_GRAVEL_SLIDING,
    isGranular: false,
    reviewReason: null,
  },
  'dense-gravel': {
    title: 'Dense gravel or sand and gravel',
    rows: [
      IBC_GRAVEL,
      is1904('compact gravel or sand-gravel', 440),
      field('dense sand or gravel', 150),
      bs8004('dense gravel', 600),
    ],
    sliding: WEAK_ROCK_OR_GRAVEL_SLIDING,
    isGranular: true,
    reviewReason: null,
  },
  'loose-gravel': {
    title: 'Loose gravel or sand and gravel',
    rows: [IBC_GRAVEL, is1904('loose dry gravel or sand-gravel', 245), field('loose gravel', 50)],
    sliding: WEAK_ROCK_OR_GRAVEL_SLIDING,
    isGranular: true,
    reviewReason: null,
  },
  'dense-sand': {
    title: 'Dense sand',
    rows: [
      IBC_SAND,
      is1904('compact dry medium sand', 245),
      field('dense sand', 150),
      bs8004('compact sand', 300),
    ],
    sliding: SAND_SLIDING,
    isGranular: true,
    reviewReason: null,
  },
  'loose-sand': {
    title: 'Loose sand',
    rows: [IBC_SAND, is1904('fine sand, loose and dry', 100), field('loose sand', 50)],
    sliding: SAND_SLIDING,
    isGranular: true,
    reviewReason: null,
  },
  silt: {
    title: 'Silt, dry lumps crushed by the fingers',
    rows: [IBC_CLAY, is1904('fine sand or silt', 150), field('dense silt', 100)],
    sliding: CLAY_SLIDING,
    isGranular: false,
    reviewReason: null,
  },
  'stiff-clay': {
    title: 'Stiff clay',
    rows: [
      IBC_CLAY,
      is1904('hard or stiff clay, dry', 440),
      field('stiff clay', 150),
      bs8004('stiff clay', 150),
    ],
    sliding: CLAY_SLIDING,
    isGranular: false,
    reviewReason: null,
  },
  'firm-clay': {
    title: 'Firm clay, indented by the thumb',
    rows: [
      IBC_CLAY,
      is1904('medium clay, indented by the thumb nail', 245),
      is1904('moist clay or sand-clay, strong thumb pressure', 150),
      field('firm clay', 75),
      bs8004('firm clay', 75),
    ],
    sliding: CLAY_SLIDING,
    isGranular: false,
    reviewReason: null,
  },
  'soft-clay': {
    title: 'Soft clay, moderate thumb pressure',
    rows: [IBC_CLAY, is1904('soft clay, moderate thumb pressure', 100), field('soft clay', 40)],
    sliding: CLAY_SLIDING,
    isGranular: false,
    reviewReason: null,
  },
  'very-soft-clay': {
    title: 'Very soft clay, the thumb sinks several centimetres',
    rows: [
      is1904('very soft clay, the thumb sinks several centimetres', 50),
      field('soft clay', 40),
    ],
    sliding: CLAY_SLIDING,
    isGranular: false,
    reviewReason: 'very soft clay settles unevenly under a tank',
  },
  'black-cotton-soil': {
    title: 'Black cotton soil',
    rows: [],
    sliding: SAND_SLIDING,
    isGranular: false,
    reviewReason: `black cotton soil swells and shrinks; ${MUST_TEST}`,
  },
  peat: {
    title: 'Peat, mud or organic soil',
    rows: [],
    sliding: SAND_SLIDING,
    isGranular: false,
    reviewReason: `peat and organic soil; ${MUST_TEST}`,
  },
  'made-ground': {
    title: 'Made ground or fill',
    rows: [],
    sliding: SAND_SLIDING,
    isGranular: false,
    reviewReason: `made ground; ${MUST_TEST}`,
  },
  unknown: {
    title: 'Not yet examined',
    rows: [],
    sliding: SAND_SLIDING,
    isGranular: false,
    reviewReason: `the bearing class of the ground is unknown; ${MUST_TEST}`,
  },
};
