import { describe, expect, it } from 'vitest';
import { burstHazard } from '../../../shared/structure/burst-hazard.ts';
import { checkOverflow, type OverflowInput } from '../../../shared/structure/overflow-check.ts';
import { orificeFlowLPerS, standPipeFlow } from '../../../shared/structure/overflow-outlet.ts';
import {
  PLUMBING_CODE_FILLING_RATIO,
  peakRoofFlowLPerS,
  roofAreaForPipeM2,
  verticalPipeFlowLPerS,
} from '../../../shared/structure/rain-pipe.ts';
import {
  pipeRoofAreas,
  plumbingCodeFlowLPerS,
  smallestRainPipe,
} from '../../../shared/structure/rain-pipe-size.ts';
import { ventSize } from '../../../shared/structure/vent.ts';
import mortar from '../../published/structure/mortar.json' with { type: 'json' };
import published from '../../published/structure/rain-pipes.json' with { type: 'json' };
import { expectPrinted, expectPrintedRow } from './printed-number.ts';

const M2_PER_FT2 = 0.09290304;
const MM_PER_IN = 25.4;

describe('vertical rain pipe', () => {
  // en-12056-3 equation, as quoted; values by an independent script
  it('follows the Wyly-Eaton equation at two fillings', () => {
    const { boresMm, f020, f033 } = published.wylyEaton;
    const flows = (filling: number) => boresMm.map((bore) => verticalPipeFlowLPerS(bore, filling));
    expectPrintedRow(flows(0.2), f020);
    expectPrintedRow(flows(0.33), f033);
  });

  // en-12056-3 table 8 [memory]
  it.each(published.table8.rows)('agrees with table 8 at $boreMm mm', (row) => {
    for (const [column, filling] of [
      ['f033', 0.33],
      ['f020', 0.2],
    ] as const) {
      const flow = verticalPipeFlowLPerS(row.boreMm, filling);
      const exception = published.table8.exceptions.find(
        (one) => one.boreMm === row.boreMm && one.column === column,
      );
      if (exception === undefined) expectPrinted(flow, row[column]);
      else expect(Math.abs(flow - Number(row[column]))).toBeLessThan(exception.tolerance);
    }
  });

  // nspc-2006 table 13.6.1, as quoted, against the European equation
  it.each(published.nspc.rows)('agrees with the American leader of $nominalIn in', (row) => {
    const { rainMmPerH, toleranceRatio } = published.nspc;
    const boreMm = row.nominalIn * MM_PER_IN;
    const european = verticalPipeFlowLPerS(boreMm, PLUMBING_CODE_FILLING_RATIO);
    const american = plumbingCodeFlowLPerS(boreMm) ?? 0;
    expectPrinted(american, row.flow);
    expectPrinted(row.areaFt2 * M2_PER_FT2, row.areaM2);
    expectPrinted(peakRoofFlowLPerS(row.areaFt2 * M2_PER_FT2, rainMmPerH, 1), row.areaFlow);
    expectPrinted(european, row.wylyEaton);
    expect(Math.abs(european / american - 1)).toBeLessThan(toleranceRatio);
  });

  // chicago-18-29-1106, as quoted
  it.each(published.chicago.rows)(
    'is rated about 30 % above by a city table, $nominalIn in',
    (row) => {
      const other = published.nspc.rows.find((one) => one.nominalIn === row.nominalIn);
      expectPrinted(row.areaFt2 * M2_PER_FT2, row.areaM2);
      const generous = row.areaFt2 / (other?.areaFt2 ?? 1);
      expect(generous).toBeGreaterThan(1.27);
      expect(generous).toBeLessThan(1.345);
      // the engine must not be bolder than the boldest table
      const served = pipeRoofAreas(row.nominalIn * MM_PER_IN, 101.6)[0]?.roofAreaM2 ?? 0;
      expect(served).toBeLessThan(row.areaFt2 * M2_PER_FT2);
    },
  );

  // nbc-india-9, as quoted
  it('agrees with the case that the Indian code prints', () => {
    const { published: printed, at100MmPerH } = published.nbcIndia;
    const area = roofAreaForPipeM2(printed.boreMm, printed.rainMmPerH);
    expect(Math.abs(area - printed.areaM2)).toBeLessThan(printed.tolerance);
    for (const row of at100MmPerH) expectPrinted(roofAreaForPipeM2(row.boreMm, 100), row.areaM2);
  });

  // worked-example-5000-l: independent script
  it.each(published.peakFlow.rows)(
    'meets the peak flow of $areaM2 m² at $rainMmPerH mm/h',
    (row) => {
      expectPrinted(peakRoofFlowLPerS(row.areaM2, row.rainMmPerH), row.flow);
    },
  );

  it('is chosen by the most cautious source, which is the Indian code for every common size', () => {
    for (const boreMm of [50, 75, 100, 110, 150]) {
      const areas = pipeRoofAreas(boreMm, 150);
      expect(areas.map((area) => area.source)).toEqual(['nbc-india-9', 'nspc-2006', 'en-12056-3']);
    }
    expect(pipeRoofAreas(40, 150).map((area) => area.source)).toEqual([
      'nbc-india-9',
      'en-12056-3',
    ]);
  });

  // worked-example-5000-l: 75 mm serves 27.28 m² at 150 mm/h and fails 50 m²; 100 mm serves 56.00
  it('for 50 m² at 150 mm/h is 100 mm', () => {
    const choice = smallestRainPipe(50, 150, [110, 75, 100]);
    expect(choice?.boreMm).toBe(100);
    expectPrinted(choice?.servedAreaM2 ?? 0, '56.00');
    expect(smallestRainPipe(50, 150)?.boreMm).toBe(100);
    expect(smallestRainPipe(5000, 150)).toBeNull();
    expect(() => smallestRainPipe(50, 150, [])).toThrow('needs at least one bore');
  });

  it('refuses a runoff above the rain and a pipe more than full', () => {
    expect(() => peakRoofFlowLPerS(50, 100, 1.1)).toThrow('runoffRatio = 1.1');
    expect(() => verticalPipeFlowLPerS(75, 1.2)).toThrow('fillingRatio = 1.2');
    expect(() => roofAreaForPipeM2(75, 0)).toThrow('rainMmPerH = 0');
  });
});

describe('overflow outlet', () => {
  // en-12056-3 outlet form [memory]; sharp orifice Cd 0.6; values by an independent script
  it.each(published.outlets.rows)('of $boreMm mm under $headMm mm', (row) => {
    const flow = standPipeFlow(row.boreMm, row.headMm);
    const sharp = orificeFlowLPerS(row.boreMm, row.headMm / 1000);
    expectPrinted(flow.weirLPerS, row.weir);
    expectPrinted(flow.orificeLPerS, row.orifice);
    expectPrinted(sharp, row.sharp);
    expectPrinted(Math.min(flow.flowLPerS, sharp), row.governs);
  });

  it('is a weir under a low head and an orifice under a high one', () => {
    expect(standPipeFlow(100, 10).governedBy).toBe('weir');
    expect(standPipeFlow(100, 90).governedBy).toBe('orifice');
    expect(standPipeFlow(100, 0).flowLPerS).toBe(0);
  });

  // worked-example-5000-l: the orifice form equals Cd 0.606, the weir form 1.342 m^½/s
  it('has the coefficients of the two forms', () => {
    const ratio = standPipeFlow(75, 50).orificeLPerS / orificeFlowLPerS(75, 0.05);
    expect(0.6 * ratio).toBeCloseTo(0.606, 3);
    const weir = standPipeFlow(75, 50).weirLPerS / 1000 / (Math.PI * 0.075 * 0.05 ** 1.5);
    expect(weir).toBeCloseTo(1.342, 3);
  });

  const overflow: OverflowInput = {
    roofAreaM2: 50,
    rainMmPerH: 150,
    overflowBoreMm: 75,
    overflowHeadMm: 50,
    inletBoreMm: 50,
    overflowBelowSpringingM: 0.06,
    overflowBelowInletM: 0.1,
    screenAreaRatio: 2,
  };

  it('carries the peak of the roof when its screen is doubled, and not when it is not', () => {
    const doubled = checkOverflow(overflow);
    // 50 m² × 150 mm/h / 3600 = 2.083 l/s against 2.652 l/s
    expectPrinted(doubled.peakInflowLPerS, '2.083');
    expectPrinted(doubled.overflowFlowLPerS, '2.652');
    expect(doubled.checks[0]?.outcome).toBe('pass');
    expect(doubled.remarks).toEqual([]);
    const single = checkOverflow({ ...overflow, screenAreaRatio: 1 });
    expectPrinted(single.overflowFlowLPerS, '1.326');
    expect(single.checks[0]?.outcome).toBe('fail');
    const wide = checkOverflow({ ...overflow, screenAreaRatio: 5 });
    expect(wide.overflowFlowLPerS).toBe(doubled.overflowFlowLPerS);
  });

  it('names every departure from the rules', () => {
    const { remarks } = checkOverflow({
      ...overflow,
      rainMmPerH: 100,
      inletBoreMm: 75,
      overflowBelowSpringingM: 0.02,
      overflowBelowInletM: 0,
    });
    expect(remarks.map((remark) => remark.id)).toEqual([
      'overflow-bore',
      'overflow-below-springing',
      'overflow-below-inlet',
      'overflow-rain',
    ]);
    expect(() => checkOverflow({ ...overflow, screenAreaRatio: 0 })).toThrow('screenAreaRatio = 0');
  });
});

describe('vent and burst', () => {
  // worked-example-5000-l: independent script
  it.each(published.vents.rows)('vents $flow l/s', (row) => {
    const vent = ventSize(row.flow);
    expectPrinted(vent.areaMm2, row.areaMm2);
    expectPrinted(vent.boreMm, row.boreMm);
    expect(vent.screenedAreaMm2).toBe(2 * vent.areaMm2);
  });

  // worked-example-5000-l: independent script
  it('stores 45.06 kJ, jets at 5.94 m/s and loses 0.28 l/s through 10 mm', () => {
    const { hazard } = mortar;
    const burst = burstHazard(1.9, 1.8);
    expectPrinted(burst.storedEnergyJ / 1000, hazard.energyKJ);
    expectPrinted(burst.jetSpeedMPerS, hazard.jetMPerS);
    expectPrinted(orificeFlowLPerS(hazard.holeMm, 1.8), hazard.holeLPerS);
    expect(burst.keepClearM).toBeCloseTo(2.8, 12);
  });
});
