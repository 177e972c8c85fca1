import { describe, expect, it } from 'vitest';
import {
  type WallBase,
  wallCoefficients,
  wallCoefficientsAt,
  wallDecayLengths,
} from '../../../shared/structure/wall-coefficients.ts';
import a1 from '../../published/structure/pca-a-1-hoop-fixed.json' with { type: 'json' };
import a2 from '../../published/structure/pca-a-2-moment-fixed.json' with { type: 'json' };
import a5 from '../../published/structure/pca-a-5-hoop-hinged.json' with { type: 'json' };
import a7 from '../../published/structure/pca-a-7-moment-hinged.json' with { type: 'json' };
import a12 from '../../published/structure/pca-a-12-base-shear.json' with { type: 'json' };
import hoopFixed from '../../published/structure/pca-supplementary-hoop-fixed.json' with {
  type: 'json',
};
import hoopHinged from '../../published/structure/pca-supplementary-hoop-hinged.json' with {
  type: 'json',
};
import momentFixed from '../../published/structure/pca-supplementary-moment-fixed.json' with {
  type: 'json',
};
import momentHinged from '../../published/structure/pca-supplementary-moment-hinged.json' with {
  type: 'json',
};
import peaks from '../../published/structure/wall-peaks.json' with { type: 'json' };
import { expectPrinted } from './printed-number.ts';

interface Table {
  readonly page: string;
  readonly quantity: string;
  readonly base: string;
  readonly tolerance: number;
  readonly exceptions: readonly { slenderness: number; depthRatio: number; tolerance: number }[];
  readonly depthRatios: readonly number[];
  readonly rows: readonly { slenderness: number; printed: string; independent: string }[];
}

interface Cell {
  readonly slenderness: number;
  readonly depthRatio: number;
  readonly printed: number;
  readonly independent: string;
}

const NU = 0.2;

function cells(table: Table): Cell[] {
  return table.rows.flatMap((row) => {
    const printed = row.printed.split(',').map((cell) => cell.trim());
    const independent = row.independent.split(',').map((cell) => cell.trim());
    expect(printed.length).toBe(table.depthRatios.length);
    return table.depthRatios.map((depthRatio, i) => ({
      slenderness: row.slenderness,
      depthRatio,
      printed: Number(printed[i]),
      independent: independent[i] ?? '',
    }));
  });
}

function engineValue(table: Table, cell: Cell): number {
  const lambda = wallDecayLengths(cell.slenderness, NU);
  const solution = wallCoefficients(lambda, table.base as WallBase);
  const at = wallCoefficientsAt(solution, cell.depthRatio);
  return table.quantity === 'hoop' ? at.hoop : at.moment;
}

const MAIN: readonly Table[] = [a1, a2, a5, a7];
const SUPPLEMENT: readonly Table[] = [hoopFixed, momentFixed, hoopHinged, momentHinged];

describe('published wall tables', () => {
  it('hold 560 cells in the four main tables and five named exceptions', () => {
    expect(MAIN.flatMap(cells)).toHaveLength(560);
    expect(MAIN.flatMap((table) => [...table.exceptions])).toHaveLength(5);
    expect(SUPPLEMENT.flatMap(cells)).toHaveLength(120);
  });

  // pca-1993 tables, A-7 [memory]; tolerance 0.006 hoop, 0.0008 moment
  it.each([...MAIN, ...SUPPLEMENT].map((table) => [table.page, table.quantity, table] as const))(
    'agree with the exact solution: %s, %s',
    (_, __, table) => {
      for (const cell of cells(table)) {
        const exception = table.exceptions.find(
          (one) => one.slenderness === cell.slenderness && one.depthRatio === cell.depthRatio,
        );
        const gap = Math.abs(engineValue(table, cell) - cell.printed);
        const place = `K ${cell.slenderness} at ${cell.depthRatio}H`;
        expect(gap, place).toBeLessThanOrEqual(exception?.tolerance ?? table.tolerance);
        // an exception that is none would hide a lost digit
        if (exception !== undefined) expect(gap, place).toBeGreaterThan(table.tolerance);
      }
    },
  );

  // worked-example-5000-l: exact values of an independent script, to its own rounding
  it.each([...MAIN, ...SUPPLEMENT].map((table) => [table.page, table.quantity, table] as const))(
    'agree with independent exact values to the last digit: %s, %s',
    (_, __, table) => {
      for (const cell of cells(table)) {
        const place = `K ${cell.slenderness} at ${cell.depthRatio}H`;
        expectPrinted(engineValue(table, cell), cell.independent, place);
      }
    },
  );

  // pca-1993 table A-12 [memory]
  it('agree on the shear at the base for water and for an even pressure', () => {
    for (const row of a12.rows) {
      const lambda = wallDecayLengths(row.slenderness, NU);
      const shear = (base: WallBase, load: 'triangular' | 'rectangular') =>
        wallCoefficientsAt(wallCoefficients(lambda, base, load), 1).shear;
      const values = {
        triangularFixed: shear('fixed', 'triangular'),
        rectangularFixed: shear('fixed', 'rectangular'),
        hinged: shear('hinged', 'triangular'),
      };
      // the table gives one column for both loads on a hinged base, which only tall walls share
      if (row.slenderness >= 3) {
        expect(shear('hinged', 'rectangular')).toBeCloseTo(values.hinged, 2);
      }
      for (const column of ['triangularFixed', 'rectangularFixed', 'hinged'] as const) {
        const { printed, independent } = row[column];
        const exception = a12.exceptions.find(
          (one) => one.slenderness === row.slenderness && one.column === column,
        );
        const gap = Math.abs(values[column] - Number(printed));
        const place = `K ${row.slenderness} ${column}`;
        expect(gap, place).toBeLessThanOrEqual(exception?.tolerance ?? a12.tolerance);
        expectPrinted(values[column], independent, place);
      }
    }
  });
});

describe('peak coefficients', () => {
  // worked-example-5000-l: independent script
  it.each(peaks.rows)('of K = $slenderness', (row) => {
    const lambda = wallDecayLengths(row.slenderness, NU);
    const peak = (base: WallBase, quantity: 'hoop' | 'moment') => {
      const solution = wallCoefficients(lambda, base);
      let best = { at: 0, value: Number.NEGATIVE_INFINITY };
      for (let i = 0; i <= 20_000; i += 1) {
        const value = wallCoefficientsAt(solution, i / 20_000)[quantity];
        if (value > best.value) best = { at: i / 20_000, value };
      }
      return best;
    };
    const foot = (base: WallBase) => wallCoefficientsAt(wallCoefficients(lambda, base), 1);
    expectPrinted(peak('fixed', 'hoop').value, row.fixedHoop);
    expectPrinted(peak('fixed', 'moment').value, row.fixedOppositeMoment);
    expectPrinted(peak('hinged', 'hoop').value, row.hingedHoop);
    expectPrinted(peak('hinged', 'moment').value, row.hingedMoment);
    expectPrinted(foot('fixed').moment, row.fixedBaseMoment);
    expectPrinted(foot('fixed').shear, row.fixedBaseShear);
    expectPrinted(foot('hinged').shear, row.hingedBaseShear);
    const places: [number, string][] = [
      [peak('fixed', 'hoop').at, row.fixedHoopAt],
      [peak('fixed', 'moment').at, row.fixedOppositeMomentAt],
      [peak('hinged', 'hoop').at, row.hingedHoopAt],
      [peak('hinged', 'moment').at, row.hingedMomentAt],
    ];
    for (const [at, printed] of places) {
      expect(Math.abs(at - Number(printed))).toBeLessThanOrEqual(0.0015);
    }
  });
});
