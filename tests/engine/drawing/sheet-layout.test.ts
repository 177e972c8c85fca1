import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import { EngineError } from '../../../shared/errors.ts';
import font from './dejavu-sans-widths.json' with { type: 'json' };
import { draw, TITLE, tankOf, WORKED_TANK } from './drawn-tanks.ts';
import { crossings, drawnTexts, overlaps } from './drawn-text.ts';

/** The frame of an A4 sheet, landscape [mm]. */
const FRAME = { left: 8, right: 289, top: 7, bottom: 203 };

/** ISO 3098: nominal height of capitals [memory]. */
const LEAST_CAPITAL_MM = 2.5;

/** Capitals over font size: the font's own table, and the usual figures of two others [memory]. */
const CAPITAL_RATIOS = [font.capitalHeight / font.unitsPerEm, 1466 / 2048, 1456 / 2048];

function expectTidy(svg: string): void {
  const texts = drawnTexts(svg);
  expect(texts.length).toBeGreaterThan(10);
  expect(overlaps(texts)).toEqual([]);
  expect(crossings(svg, texts, 0.2)).toEqual([]);
  for (const { text, left, right, top, bottom, sizeMm } of texts) {
    const isInside =
      left >= FRAME.left && right <= FRAME.right && top >= FRAME.top && bottom <= FRAME.bottom;
    expect(isInside, `"${text}" from ${left} to ${right}, ${top} to ${bottom}`).toBe(true);
    for (const ratio of CAPITAL_RATIOS) {
      expect(sizeMm * ratio, text).toBeGreaterThanOrEqual(LEAST_CAPITAL_MM);
    }
  }
}

const SIZES_L = [200, 350, 600, 1000, 2000, 3500, 5000, 7500, 10_000, 15_000, 20_000];
const SHAPES = [0.6, 1, 1.5];

describe('the sheets of a tank', () => {
  it.each(SIZES_L)(
    'of %i litres keep every text on the sheet, apart and high enough',
    { timeout: 60_000 },
    (sizeL) => {
      for (const shape of SHAPES) {
        for (const bandCount of [1, 4, 9]) {
          for (const { svg } of draw(tankOf(sizeL, shape, bandCount))) expectTidy(svg);
        }
      }
    },
  );

  it('stay tidy with names of any length and script, and many remarks', () => {
    const long = 'Reservorio número 17 مَاء 水槽 '.repeat(12);
    const title = { ...TITLE, designCode: long, designName: long, approval: long };
    for (const sheet of draw(WORKED_TANK, { title, remarks: Array(12).fill(long) })) {
      expectTidy(sheet.svg);
    }
  });

  it('stay tidy for any design that the checks accept', () => {
    const designs = fc.record({
      diameterM: fc.double({ min: 0.45, max: 5.9, noNaN: true }),
      depthM: fc.double({ min: 0.3, max: 4, noNaN: true }),
      bandCount: fc.integer({ min: 1, max: 60 }),
      riseRatio: fc.double({ min: 0.1, max: 0.5, noNaN: true }),
      gridSpacingM: fc.double({ min: 0.02, max: 0.4, noNaN: true }),
      slabEdgeM: fc.double({ min: 0, max: 1.5, noNaN: true }),
      slabThicknessM: fc.double({ min: 0.05, max: 0.6, noNaN: true }),
    });
    let drawnCount = 0;
    fc.assert(
      fc.property(designs, (made) => {
        const design: TankDesignInput = {
          insideDiameterM: made.diameterM,
          waterDepthM: made.depthM,
          wallThicknessM: 0.05,
          bands: { ...WORKED_TANK.bands, widthMm: 5, count: made.bandCount },
          dome: {
            riseM: made.diameterM * made.riseRatio,
            thicknessM: 0.04,
            gridSpacingM: made.gridSpacingM,
          },
          slab: {
            diameterM: made.diameterM + 0.1 + 2 * made.slabEdgeM,
            thicknessM: made.slabThicknessM,
          },
        };
        let sheets: ReturnType<typeof draw>;
        try {
          sheets = draw(design);
        } catch (error) {
          expect(error).toBeInstanceOf(EngineError);
          fc.pre(false);
          return;
        }
        drawnCount += 1;
        for (const { svg } of sheets) expectTidy(svg);
      }),
      { numRuns: 60 },
    );
    expect(drawnCount).toBe(60);
  }, 60_000);

  it('are A4 landscape in millimetres and say how many they are', () => {
    const sheets = draw(WORKED_TANK);
    expect(sheets.map(({ title }) => title)).toEqual([
      'Section and bands',
      'Plan and fittings',
      'Dome grid and cut list',
      'Cautions and review',
      'Cautions, continued',
    ]);
    sheets.forEach(({ svg }, index) => {
      expect(svg).toMatch(/^<svg [^>]*width="297mm" height="210mm" viewBox="0 0 297 210"/);
      const texts = drawnTexts(svg).map(({ text }) => text);
      expect(texts).toContain(`Sheet ${index + 1} of 5, A4`);
      // names as short as these are printed whole
      expect(texts.filter((text) => text.includes('…'))).toEqual([]);
    });
  });

  it('are black on white alone: no state is told by colour', async () => {
    const failing: TankDesignInput = {
      ...WORKED_TANK,
      bands: { ...WORKED_TANK.bands, spacing: 'even' },
    };
    for (const { svg } of draw(failing)) {
      const paints = [...svg.matchAll(/(?:fill|stroke)="([^"]*)"/g)].map(([, paint]) => paint);
      expect([...new Set(paints)].sort()).toEqual(
        expect.arrayContaining(['black', 'none', 'white']),
      );
      for (const paint of paints) expect(paint).toMatch(/^(?:black|white|none|url\(#\w+\))$/);
      expect(svg).not.toMatch(/\sstyle=|<style|<script|href=/);
    }
    const [section] = draw(failing);
    const { data } = await sharp(Buffer.from(section?.svg ?? ''))
      .toColourspace('srgb')
      .removeAlpha()
      .raw()
      .toBuffer({ resolveWithObject: true });
    let coloured = 0;
    for (let at = 0; at < data.length; at += 3) {
      if (data[at] !== data[at + 1] || data[at] !== data[at + 2]) coloured += 1;
    }
    expect(coloured).toBe(0);
  });
});
