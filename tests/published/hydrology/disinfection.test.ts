import { describe, expect, it } from 'vitest';
import { type ChlorineProduct, chlorineDose, doseOfPowder } from '../../../shared/index.ts';
import { expectPrinted } from './printed.ts';

const powder = (availableChlorineRatio: number): ChlorineProduct => ({
  kind: 'powder',
  availableChlorineRatio,
});
const liquid = (chlorineGPerMl: number): ChlorineProduct => ({ kind: 'liquid', chlorineGPerMl });

const amount = (
  waterVolumeL: number,
  doseMgPerL: number,
  product: ChlorineProduct,
  purpose: 'drinking' | 'shock' = 'drinking',
) =>
  chlorineDose({
    waterVolumeL,
    doseMgPerL,
    product,
    purpose,
    isStabilised: false,
    productAgeDays: 10,
  }).amount;

describe('published doses', () => {
  // enHealth (2010) section 5.2: per 1000 L, 40 mL of 12.5 % or 7 g of 75 % for about 5 mg/L.
  it('agree with enHealth', () => {
    expectPrinted(amount(1000, 5, liquid(0.125)), '40', '12.5 % hypochlorite');
    const grams = amount(1000, 5, powder(0.75));
    expectPrinted(grams, '6.667', '75 % powder');
    // printed to the whole gram
    expect(Math.round(grams)).toBe(7);
  });

  // NSW Health, Private Water Supply Guidelines, pages 26 to 27.
  it.each([
    { volumeL: 1000, liquidMl: ['8', '16', '40'], printedG: 8, formulaG: '7.692' },
    { volumeL: 5000, liquidMl: ['40', '80', '200'], printedG: 38, formulaG: '38.46' },
    { volumeL: 10_000, liquidMl: ['80', '160', '400'], printedG: 77, formulaG: '76.92' },
    { volumeL: 20_000, liquidMl: ['160', '320', '800'], printedG: 154, formulaG: '153.85' },
  ])('agree with NSW Health for $volumeL L', ({ volumeL, liquidMl, printedG, formulaG }) => {
    [1, 2, 5].forEach((dose, index) => {
      const printed = liquidMl[index] as string;
      expectPrinted(amount(volumeL, dose, liquid(0.125)), printed, `${dose} mg/L`);
    });
    const grams = amount(volumeL, 5, powder(0.65));
    expectPrinted(grams, formulaG, '65 % powder');
    expect(Math.round(grams)).toBe(printedG);
  });

  // Logan City Council (logan-city-bleach): 12.5 mL of 4 % household bleach to 100 L for 5 mg/L.
  it('agree with Logan City for household bleach', () => {
    expectPrinted(amount(100, 5, liquid(0.04)), '12.5', '100 L');
    expectPrinted(amount(1000, 5, liquid(0.04)), '125', '1000 L');
  });

  // ANSI/AWWA C652 doses; grams computed from the formula apart from this engine.
  it('give the shock doses', () => {
    expectPrinted(amount(1000, 50, powder(0.7), 'shock'), '71.43', '50 mg/L in 1000 L, 70 %');
    expectPrinted(amount(5000, 50, powder(0.65), 'shock'), '384.6', '50 mg/L in 5000 L, 65 %');
    expectPrinted(amount(20_000, 10, powder(0.65), 'shock'), '307.7', '10 mg/L in 20 000 L, 65 %');
  });

  // WHO and WEDC technical note 3 (wedc-technical-note-3) [memory]: 80 g to 1000 L; at 70 % that is 56 mg/L.
  it('give the strength of the emergency-tank dose', () => {
    expectPrinted(doseOfPowder(80, 1000, 0.7), '56', '80 g');
  });
});
