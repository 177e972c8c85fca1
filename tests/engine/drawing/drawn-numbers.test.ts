import { describe, expect, it } from 'vitest';
import { checkTank } from '../../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import { BAMBOO_BAND_MORTAR_RECIPE } from '../../../shared/takeoff/bamboo-band-mortar-recipe.ts';
import { bandCutLengthM } from '../../../shared/takeoff/bands.ts';
import { takeoffTank } from '../../../shared/takeoff/bill-of-quantities.ts';
import type { TakeoffGeometry } from '../../../shared/takeoff/takeoff-geometry.ts';
import strips from '../../published/structure/strip-grid.json' with { type: 'json' };
import worked from '../../published/structure/worked-example-5000-l.json' with { type: 'json' };
import { printedNumber } from '../structure/printed-number.ts';
import { draw, tankOf, WORKED_TANK } from './drawn-tanks.ts';
import { type DrawnText, drawnTexts, words } from './drawn-text.ts';

/** Rows of texts on one line, left to right. */
function rows(svg: string): string[][] {
  const lines = new Map<number, DrawnText[]>();
  for (const text of drawnTexts(svg)) {
    lines.set(text.bottom, [...(lines.get(text.bottom) ?? []), text]);
  }
  return [...lines]
    .sort(([a], [b]) => a - b)
    .map(([, line]) => line.sort((a, b) => a.left - b.left).map(({ text }) => text));
}

const sheetOf = (design: TankDesignInput, title: string): string =>
  draw(design)
    .filter((sheet) => sheet.title.startsWith(title))
    .map(({ svg }) => svg)
    .join('');

/** The rows of the band table: eight cells that end with an outcome, some rows on one line. */
function bandTable(svg: string): string[][] {
  return rows(svg).flatMap((row) =>
    row.flatMap((cell, end) =>
      /^(?:pass|review|fail)$/.test(cell) && end >= 7 ? [row.slice(end - 7, end + 1)] : [],
    ),
  );
}

const list = (printed: string): number[] =>
  printed.split(',').map((cell) => printedNumber(cell.trim()).value);

/** A figure of the worked example as the sheet prints it. */
const wholeMm = (metres: number): string => (metres * 1000).toFixed(0);

describe('the band table', () => {
  it('gives levels, loads and stresses of the worked example', () => {
    const cells = bandTable(sheetOf(WORKED_TANK, 'Section'));
    const { levels, loadsKN, stressMPa } = worked.bands.cases.C;
    const heights = list(worked.bands.heightsAboveFloorM.C);
    const loads = list(loadsKN);
    const stresses = list(stressMPa);
    const [net] = worked.bands.netSections;
    expect(cells.map((row) => row[0])).toEqual(['S', '1', '2', '3', '4']);
    expect(cells.slice(1)).toEqual(
      list(levels).map((level, index) => [
        String(index + 1),
        wholeMm(level),
        wholeMm(heights[index] ?? 0),
        (loads[index] ?? 0).toFixed(2),
        (stresses[index] ?? 0).toFixed(1),
        net?.C,
        // 114.4 on 0.6 of 250 MPa
        (114.4 / 150).toFixed(3),
        'pass',
      ]),
    );
    const { ringWithPersonKN, springingStressMPa } = worked.dome;
    expect(cells[0]?.slice(3, 5)).toEqual([
      Number(ringWithPersonKN).toFixed(2),
      springingStressMPa,
    ]);
  });

  it.each([200, 1000, 5000, 20_000])('repeats what the checks of %i litres found', (sizeL) => {
    const design = tankOf(sizeL, 1, 7);
    const { bands, dome } = checkTank(design);
    const cells = bandTable(sheetOf(design, 'Section'));
    const expected = [
      {
        ...dome.springingBand,
        below: 0,
        above: design.waterDepthM,
        load: dome.ringTensionWithPersonN,
      },
      ...bands.map((band) => ({
        ...band,
        below: band.levelBelowWaterM,
        above: band.heightAboveFloorM,
        load: band.loadN,
      })),
    ];
    expect(cells.map((row) => row.slice(1, 7))).toEqual(
      expected.map((band) => [
        String(Math.round(band.below * 1000)),
        String(Math.round(band.above * 1000)),
        (band.load / 1000).toFixed(2),
        (band.grossStressPa / 1e6).toFixed(1),
        (band.netStressPa / 1e6).toFixed(1),
        band.utilisationRatio.toFixed(3),
      ]),
    );
  });

  it('says fail and leaves the mark of the band open where a band is overloaded', () => {
    const design: TankDesignInput = {
      ...WORKED_TANK,
      bands: { ...WORKED_TANK.bands, spacing: 'even' },
    };
    const svg = sheetOf(design, 'Section');
    // case A of the worked example: 132.1 MPa on 115 MPa, 200.2 MPa on 150 MPa at the joint
    expect(bandTable(svg).map((row) => row.at(-1))).toEqual([
      'pass',
      'pass',
      'pass',
      'review',
      'fail',
    ]);
    const marks = bandMarks(svg).map(({ fill }) => fill);
    expect(marks).toEqual([
      ...['black', 'black', 'black', 'black', 'black', 'black'],
      ...['white', 'white', 'white', 'white'],
    ]);
  });

  it('continues on the next sheet and loses no band', () => {
    const design = tankOf(10_000, 1, 60);
    const svg = sheetOf({ ...design, bands: { ...design.bands, widthMm: 5 } }, 'Section');
    const continued = sheetOf({ ...design, bands: { ...design.bands, widthMm: 5 } }, 'Bands');
    const names = [...bandTable(svg), ...bandTable(continued)].map((row) => row[0]);
    const all = ['S', ...Array.from({ length: 60 }, (_, index) => String(index + 1))];
    const byColumns = (name = '') => (name === 'S' ? 0 : Number(name));
    expect(names.sort((a, b) => byColumns(a) - byColumns(b))).toEqual(all);
    expect(words(svg)).toContain('The other bands follow on the next sheet.');
  });
});

interface Mark {
  readonly x: number;
  readonly middle: number;
  readonly fill: string;
}

/** Band marks are the small rectangles 0.9 mm wide. */
function bandMarks(svg: string): Mark[] {
  const found = svg.matchAll(
    /<rect x="([\d.]+)" y="([\d.]+)" width="0.9" height="([\d.]+)" fill="(\w+)"/g,
  );
  return [...found].map(([, x, y, height, fill = '']) => ({
    x: Number(x),
    middle: Number(y) + Number(height) / 2,
    fill,
  }));
}

describe('the section', () => {
  it.each([
    [300, 10],
    [5000, 20],
    [7500, 25],
    [20_000, 50],
  ])('of %i litres lies at 1:%i and to scale', (sizeL, scale) => {
    const design = tankOf(sizeL, 1, 5);
    const svg = sheetOf(design, 'Section');
    expect(words(svg)).toContain(`Section 1:${scale}`);
    const built = (mm: number): number => (mm * scale) / 1000;
    const hatched = [
      ...svg.matchAll(
        /<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)" fill="url/g,
      ),
    ].map(([, ...numbers]) => numbers.slice(0, 4).map(Number));
    const [slab, west, east] = hatched;
    expect(built(slab?.[2] ?? 0)).toBeCloseTo(design.slab.diameterM, 2);
    expect(built(west?.[3] ?? 0)).toBeCloseTo(design.waterDepthM, 2);
    expect(built((east?.[0] ?? 0) - (west?.[0] ?? 0) - (west?.[2] ?? 0))).toBeCloseTo(
      design.insideDiameterM,
      2,
    );
    const top = west?.[1] ?? 0;
    const levels = bandMarks(svg)
      .filter((_, index) => index % 2 === 0)
      .slice(1)
      .map(({ middle }) => built(middle - top));
    const { bands } = checkTank(design);
    expect(levels.length).toBe(5);
    levels.forEach((level, index) => {
      expect(level).toBeCloseTo(bands[index]?.levelBelowWaterM ?? Number.NaN, 2);
    });
  });

  it('gives every length with its unit', () => {
    const texts = drawnTexts(sheetOf(WORKED_TANK, 'Section')).map(({ text }) => text);
    for (const length of [
      '300 mm',
      '1800 mm',
      '100 mm',
      '55 mm wall',
      '1900 mm inside',
      '2310 mm slab',
      'dome 40 mm',
    ]) {
      expect(texts).toContain(length);
    }
    expect(texts).toContain('Holds 5104 L to the top of the wall.');
    expect(texts).toContain('design water level');
  });
});

describe('the cut list', () => {
  const TAILS_MM = 2 * 150;

  it.each(strips.domes.filter(({ diameterM }) => diameterM > 1.2))(
    'adds the tails to the arcs of the strip table, $diameterM m across',
    (dome) => {
      const design: TankDesignInput = {
        ...WORKED_TANK,
        insideDiameterM: dome.diameterM,
        slab: { diameterM: dome.diameterM + 0.5, thicknessM: 0.1 },
      };
      const tops = list(dome.top);
      const expected = list(dome.bottom).map((arcM, offset) => [
        String(150 * offset),
        String(offset === 0 ? 1 : 2),
        String(Math.round(arcM * 1000) + TAILS_MM),
        String(Math.round((tops[offset] ?? 0) * 1000) + TAILS_MM),
      ]);
      const svg = sheetOf(design, 'Dome');
      const cells = rows(svg).flatMap((row) => {
        const last = row.slice(-5);
        const isRow = /^\d+(?:, \d+)?$/.test(last[0] ?? '') && /^[12]$/.test(last[2] ?? '');
        return last.length === 5 && isRow ? [last] : [];
      });
      expect(cells.map((row) => row.slice(1))).toEqual(expected);
      const numbers = cells.flatMap((row) => (row[0] ?? '').split(', ').map(Number));
      expect(numbers.sort((a, b) => a - b)).toEqual(
        Array.from({ length: dome.stripsPerLayer }, (_, index) => index + 1),
      );
    },
  );

  it('numbers every strip of both layers on the grid', () => {
    const texts = drawnTexts(sheetOf(WORKED_TANK, 'Dome'));
    const onGrid = texts.filter(({ text, right }) => /^\d+$/.test(text) && right < 160);
    const counts = new Map<string, number>();
    for (const { text } of onGrid) counts.set(text, (counts.get(text) ?? 0) + 1);
    counts.delete('0');
    expect(Object.fromEntries(counts)).toEqual(
      Object.fromEntries(Array.from({ length: 13 }, (_, index) => [String(index + 1), 2])),
    );
  });

  it('cuts the bands as the bill of quantities does', () => {
    const svg = sheetOf(WORKED_TANK, 'Dome');
    const bill = takeoffTank(WORKED_TANK as TakeoffGeometry, BAMBOO_BAND_MORTAR_RECIPE);
    const metres = Number(bill.find(({ lineCode }) => lineCode === 'wall-bands')?.netQuantity);
    const row = rows(svg)
      .find((cells) => cells.includes('wall 1 to 4'))
      ?.slice(-4);
    expect(row?.slice(0, 3)).toEqual(['wall 1 to 4', '25 x 2', '4']);
    expect(Number(row?.[3])).toBe(Math.round((metres / 4) * 1000));
    // by hand: 1.900 m + 2 x 22.5 mm of inside mortar + 2 x 10 mm boards = 1.965 m over the boards
    expect(row?.[3]).toBe(
      wholeMm(bandCutLengthM({ drumDiameterM: 1.965, thicknessMm: 2, lapM: 0.15 })),
    );
    expect(row?.[3]).toBe(wholeMm(Math.PI * 1.967 + 0.15));
  });

  it('continues on the next sheet and loses no strip', () => {
    const design = { ...WORKED_TANK, dome: { ...WORKED_TANK.dome, gridSpacingM: 0.03 } };
    const svg = sheetOf(design, 'Dome') + sheetOf(design, 'Cut list');
    const { stripsPerLayer } = checkTank(design).dome;
    const numbers = drawnTexts(svg)
      .filter(({ text, left }) => /^\d+, \d+$/.test(text) && left > 8)
      .flatMap(({ text }) => text.split(', ').map(Number));
    expect(numbers.length).toBe(stripsPerLayer - 1);
    expect(new Set(numbers).size).toBe(stripsPerLayer - 1);
    expect(words(svg)).toContain('The other strips follow on the next sheet.');
  });
});
