import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  buildMaterialStanding,
  compareQuantities,
  learnedWaste,
  learnedWasteOfTotals,
  subtractQuantities,
  sumQuantities,
} from '../../../shared/index.ts';

describe('a material at a build', () => {
  // The worked tank: 207.01 kg of cement with waste = 4.14 bags of 50 kg, so 5 bags go out
  // (project's reference sheet, computed by hand)
  const tank = { needed: '207.01', issued: '250', returned: '0', packContent: '50' };

  it('goes out in whole bags and leaves what does not fill one', () => {
    expect(buildMaterialStanding({ ...tank, issued: '0' })).toEqual({
      atBuild: '0',
      outstanding: '207.01',
      returnable: '0',
      neededPacks: 5,
      outstandingPacks: 5,
      returnablePacks: 0,
    });
    expect(buildMaterialStanding(tank)).toMatchObject({
      returnable: '42.99',
      returnablePacks: 0,
      outstanding: '0',
    });
    expect(buildMaterialStanding({ ...tank, issued: '350', returned: '50' })).toMatchObject({
      atBuild: '300',
      returnable: '92.99',
      returnablePacks: 1,
    });
  });

  it('that is not bought in packs has no packs', () => {
    const sand = buildMaterialStanding({ ...tank, packContent: null });
    expect([sand.neededPacks, sand.outstandingPacks, sand.returnablePacks]).toEqual([
      null,
      null,
      null,
    ]);
  });

  it('refuses what cannot be', () => {
    expect(() => buildMaterialStanding({ ...tank, returned: '251' })).toThrow('only 250');
    expect(() => buildMaterialStanding({ ...tank, needed: '-1' })).toThrow('needed');
    expect(() => buildMaterialStanding({ ...tank, packContent: '0' })).toThrow('packContent');
  });

  it('is either short or has something to return, and adds up', () => {
    const quantity = fc
      .integer({ min: 0, max: 9_000_000 })
      .map((n) => sumQuantities([(n / 1e3).toFixed(3)]));
    fc.assert(
      fc.property(quantity, quantity, (needed, issued) => {
        const is = buildMaterialStanding({ needed, issued, returned: '0', packContent: '50' });
        expect(is.outstanding === '0' || is.returnable === '0').toBe(true);
        expect(sumQuantities([subtractQuantities(needed, is.outstanding), is.returnable])).toBe(
          issued,
        );
        const content = 50 * (is.returnablePacks ?? 0);
        expect(compareQuantities(String(content), is.returnable)).toBeLessThanOrEqual(0);
        expect(compareQuantities(String(content + 50), is.returnable)).toBe(1);
      }),
    );
  });
});

describe('waste learned from finished builds', () => {
  const build = { net: '100', issued: '120', returned: '10' };

  // by hand: five builds of 100 in place, 110 used each; with a sixth of 500 that used 510: 1060/1000
  it('is what was used against what is in place, and one large build weighs as much as it uses', () => {
    const five = learnedWaste([build, build, build, build, build]);
    expect(five).toMatchObject({ buildCount: 5, netQuantity: '500', usedQuantity: '550' });
    expect(five.wasteRatio).toBeCloseTo(0.1, 12);
    const large = { net: '500', issued: '510', returned: '0' };
    const six = learnedWaste([build, build, build, build, build, large]);
    expect(six.wasteRatio).toBeCloseTo(0.06, 12);
  });

  it('is not offered from fewer than five builds', () => {
    const four = learnedWaste([build, build, build, build]);
    expect(four).toMatchObject({ buildCount: 4, wasteRatio: null, tooFew: true });
    expect(learnedWaste([])).toMatchObject({ buildCount: 0, usedQuantity: '0', tooFew: true });
    const sums = { net: '400', issued: '480', returned: '40' };
    expect(learnedWasteOfTotals({ ...sums, buildCount: 4 })).toEqual(four);
    expect(learnedWasteOfTotals({ ...sums, buildCount: 5 }).wasteRatio).toBeCloseTo(0.1, 12);
    expect(() => learnedWasteOfTotals({ ...sums, net: '0', buildCount: 4 })).toThrow('net');
  });

  it('refuses what cannot be', () => {
    expect(() => learnedWaste([{ ...build, net: '0' }])).toThrow('net');
    expect(() => learnedWaste([{ ...build, returned: '121' }])).toThrow('only 120');
    expect(() => learnedWaste([{ ...build, returned: '-1' }])).toThrow('returned');
  });
});
