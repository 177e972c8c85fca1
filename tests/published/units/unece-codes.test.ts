import { describe, expect, it } from 'vitest';
import { BAMBOO_BAND_MORTAR_MATERIALS } from '../../../shared/takeoff/materials.ts';
import { PACK_CODES, unitName } from '../../../shared/units/unit-codes.ts';
import printed from './unece-codes.json' with { type: 'json' };

describe('codes of units and packages', () => {
  // unece-rec-20 and unece-rec-21, names as in the copied lists
  it('carry the names of the recommendations, all of them', () => {
    expect(Object.fromEntries(PACK_CODES.map((code) => [code, unitName(code)]))).toEqual(
      printed.names,
    );
  });

  it('cover every unit that the take-off counts in', () => {
    const known: readonly string[] = PACK_CODES;
    const missing = BAMBOO_BAND_MORTAR_MATERIALS.filter(
      ({ unitCode }) => !known.includes(unitCode),
    );
    expect(missing).toEqual([]);
  });
});
