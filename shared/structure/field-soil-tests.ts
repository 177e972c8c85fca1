import type { SourceId } from '../sources.ts';
import type { SoilClass } from './soils.ts';

export interface FieldSoilTest {
  readonly id: string;
  readonly question: string;
  readonly soilClass: SoilClass;
  readonly source: SourceId;
}

/**
 * Tests with a stake, a thumb and the fingers, and the class each answer points to. They sort the
 * ground; they do not measure it, and they see no deeper than the hole.
 */
export const FIELD_SOIL_TESTS: readonly FieldSoilTest[] = [
  {
    id: 'stake-stands-gravel',
    question:
      'Gravel: one person cannot push a 50 x 50 mm stake, sharpened at 45 degrees, more than 200 mm in.',
    soilClass: 'dense-gravel',
    source: 'field-bearing-table',
  },
  {
    id: 'stake-sinks-gravel',
    question: 'Gravel: one person pushes the same stake more than 200 mm in.',
    soilClass: 'loose-gravel',
    source: 'field-bearing-table',
  },
  {
    id: 'stake-stands-sand',
    question: 'Sand: one person cannot push the same stake more than 200 mm in.',
    soilClass: 'dense-sand',
    source: 'field-bearing-table',
  },
  {
    id: 'stake-sinks-sand',
    question: 'Sand: one person pushes the same stake more than 200 mm in.',
    soilClass: 'loose-sand',
    source: 'field-bearing-table',
  },
  {
    id: 'dry-lump-crushes',
    question: 'Fine soil: a dry lump crushes between the fingers.',
    soilClass: 'silt',
    source: 'is-1904',
  },
  {
    id: 'thumb-nail-hardly',
    question: 'Clay: the thumb makes no mark and the thumb nail hardly any.',
    soilClass: 'stiff-clay',
    source: 'is-1904',
  },
  {
    id: 'thumb-strong',
    question: 'Clay: the thumb nail, or strong pressure of the thumb, leaves a mark.',
    soilClass: 'firm-clay',
    source: 'is-1904',
  },
  {
    id: 'thumb-moderate',
    question: 'Clay: moderate pressure of the thumb sinks in.',
    soilClass: 'soft-clay',
    source: 'is-1904',
  },
  {
    id: 'thumb-sinks',
    question: 'Clay: the thumb sinks several centimetres.',
    soilClass: 'very-soft-clay',
    source: 'is-1904',
  },
  {
    id: 'wide-dry-cracks',
    question: 'Dark clay with wide cracks when dry and sticky when wet.',
    soilClass: 'black-cotton-soil',
    source: 'is-1904',
  },
  {
    id: 'roots-smell-spongy',
    question: 'Dark, spongy soil with roots or a smell of decay.',
    soilClass: 'peat',
    source: 'ibc-2012-1806',
  },
  {
    id: 'rubbish-or-tipped',
    question: 'Ground that was tipped, filled or built on, or that holds rubbish.',
    soilClass: 'made-ground',
    source: 'ibc-2012-1806',
  },
];

/**
 * Class of ground that the answer to one field test points to, or null for an unknown test.
 *
 * @source field-bearing-table; is-1904
 */
export function soilClassOfFieldTest(id: string): SoilClass | null {
  return FIELD_SOIL_TESTS.find((test) => test.id === id)?.soilClass ?? null;
}
