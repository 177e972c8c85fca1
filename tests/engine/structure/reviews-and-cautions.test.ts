import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { SOURCES } from '../../../shared/sources.ts';
import {
  CAUTION_STAGES,
  CAUTIONS,
  cautionsForStage,
  STANDING_SENTENCE,
} from '../../../shared/structure/cautions.ts';
import { judge, MAX_UTILISATION_RATIO } from '../../../shared/structure/check-result.ts';
import {
  drawdownReasons,
  type InspectionFindings,
} from '../../../shared/structure/inspection-findings.ts';
import { intervalMaximum } from '../../../shared/structure/interval-maximum.ts';
import {
  REVIEW_TRIGGERS,
  type ReviewFacts,
  reviewTriggers,
} from '../../../shared/structure/review-triggers.ts';

const root = new URL('../../../', import.meta.url);

describe('review triggers', () => {
  const ids = (facts: ReviewFacts) => reviewTriggers(facts).map((trigger) => trigger.id);

  it.each<[string, ReviewFacts, ReviewFacts]>([
    ['water-depth', { waterDepthM: 2.01 }, { waterDepthM: 2 }],
    ['wall-height', { wallHeightM: 2.21 }, { wallHeightM: 2.2 }],
    ['large-volume', { capacityL: 10_001 }, { capacityL: 10_000 }],
    ['volume-near-people', { capacityL: 5001, isNearPeople: true }, { capacityL: 5001 }],
    ['seismic', { seismicZone: 3 }, { seismicZone: 2 }],
    ['seismic', { shortPeriodAccelerationG: 0.41 }, { shortPeriodAccelerationG: 0.4 }],
    ['seismic', { impulsiveCoefficient: 0.15 }, { impulsiveCoefficient: 0.14 }],
    ['slope', { groundSlopeRatio: 0.11 }, { groundSlopeRatio: 0.1 }],
    ['ground', { soilClass: 'peat' }, { soilClass: 'firm-clay' }],
    ['ground', { soilClass: 'unknown' }, {}],
    ['water-table', { isWaterTableAtSlab: true }, { isWaterTableAtSlab: false }],
    ['stand', { isOnStand: true }, { isOnStand: false }],
    ['wind', { windSpeedMPerS: 44.1 }, { windSpeedMPerS: 44 }],
    ['utilisation', { maxUtilisationRatio: 0.91 }, { maxUtilisationRatio: 0.9 }],
    ['weeping-crack', { weepingCrackMm: 0.11 }, { weepingCrackMm: 0.1 }],
    ['lost-band', { lostBandCount: 1 }, { lostBandCount: 0 }],
    ['steel-bands-short', { hasFullSteelBands: false }, { hasFullSteelBands: true }],
  ])('%s applies just beyond its limit and not at it', (id, beyond, within) => {
    expect(ids(beyond)).toEqual([id]);
    expect(ids(within)).toEqual([]);
  });

  it('are data, each with a reason and a source', () => {
    expect(REVIEW_TRIGGERS).toHaveLength(14);
    for (const trigger of REVIEW_TRIGGERS) {
      expect(trigger.reason.length).toBeGreaterThan(20);
      expect(SOURCES).toHaveProperty([trigger.source]);
    }
  });
});

describe('cautions', () => {
  it('exist for every stage, each with a source', () => {
    for (const stage of CAUTION_STAGES) expect(cautionsForStage(stage).length).toBeGreaterThan(0);
    for (const caution of CAUTIONS) expect(SOURCES).toHaveProperty([caution.source]);
    expect(new Set(CAUTIONS.map((caution) => caution.id)).size).toBe(CAUTIONS.length);
  });

  it('name what can hurt people at the stage where it can', () => {
    const idsAt = (stage: (typeof CAUTION_STAGES)[number]) =>
      cautionsForStage(stage).map((caution) => caution.id);
    expect(idsAt('waterproofing')).toEqual(expect.arrayContaining(['bitumen', 'entry', 'lime']));
    expect(idsAt('mortar')).toEqual(expect.arrayContaining(['cement', 'lime']));
    expect(idsAt('roof')).toEqual(expect.arrayContaining(['height', 'lifting', 'drowning']));
    expect(idsAt('first-filling')).toEqual(expect.arrayContaining(['first-filling', 'burst']));
    expect(idsAt('maintenance')).toEqual(expect.arrayContaining(['entry', 'bamboo-decay']));
  });

  it('never call anything safe', () => {
    const texts = [...CAUTIONS.map((caution) => caution.text), STANDING_SENTENCE];
    for (const text of texts) expect(text).not.toMatch(/\bsafe\b/i);
  });
});

describe('inspection findings', () => {
  const sound: InspectionFindings = {
    weepingCrackMm: 0.1,
    bandSectionLossRatio: 0.2,
    bulgeMm: 5,
    hollowAreaM2: 0.1,
    tiltRatio: 0.005,
  };

  it('call for a drawdown just beyond each limit and not at it', () => {
    expect(drawdownReasons(sound)).toEqual([]);
    for (const finding of Object.keys(sound) as (keyof InspectionFindings)[]) {
      const worse = { ...sound, [finding]: sound[finding] * 1.01 };
      expect(drawdownReasons(worse).map((reason) => reason.finding)).toEqual([finding]);
    }
    expect(() => drawdownReasons({ ...sound, bulgeMm: Number.NaN })).toThrow('bulgeMm = NaN');
  });
});

describe('judge', () => {
  const check = { id: 'x', title: 'x', unit: 'N', source: 'project-limit' } as const;
  const ratio = (demand: number, capacity: number) => judge({ ...check, demand, capacity });

  it('fails above 1, reviews above 0.9 and passes below', () => {
    expect(ratio(101, 100).outcome).toBe('fail');
    expect(ratio(100, 100).outcome).toBe('review');
    expect(ratio(90, 100).outcome).toBe('pass');
    expect(ratio(90.1, 100).outcome).toBe('review');
  });

  it('never gives a ratio that is not finite', () => {
    expect(ratio(1, 0).utilisationRatio).toBe(MAX_UTILISATION_RATIO);
    expect(ratio(1, 0).outcome).toBe('fail');
    expect(ratio(1e300, 1e-300).utilisationRatio).toBe(MAX_UTILISATION_RATIO);
    expect(ratio(0, 0).utilisationRatio).toBe(0);
    expect(ratio(-1, 5).utilisationRatio).toBe(0);
    expect(ratio(0, -1).outcome).toBe('fail');
    expect(ratio(-2, -1).utilisationRatio).toBe(0);
    expect(() => ratio(Number.NaN, 1)).toThrow('x.demand = NaN');
    expect(() => ratio(1, Number.POSITIVE_INFINITY)).toThrow('x.capacity = Infinity');
  });
});

describe('search for a maximum', () => {
  it('finds inner peaks and both ends', () => {
    const peak = intervalMaximum((x) => -((x - 0.3) ** 2), 0, 1, 7);
    expect(peak.at).toBeCloseTo(0.3, 6);
    expect(intervalMaximum((x) => -x, 0, 1, 5)).toEqual({ at: 0, value: -0 });
    expect(intervalMaximum((x) => x, 0, 1, 5)).toEqual({ at: 1, value: 1 });
  });
});

describe('citations', () => {
  const files = ['geometry', 'structure'].flatMap((folder) =>
    readdirSync(new URL(`shared/${folder}/`, root)).map((name) => `shared/${folder}/${name}`),
  );

  it.each([
    ...files,
    'shared/design/check-tank.ts',
    'shared/design/dome-checks.ts',
    'shared/design/stability-checks.ts',
    'shared/design/wall-and-band-checks.ts',
    'shared/design/tank-design-input.ts',
  ])('of %s name known sources on every exported function', (path) => {
    const text = readFileSync(new URL(path, root), 'utf8');
    const parts = text.split(/^export function /m);
    for (const [i, part] of parts.slice(1).entries()) {
      const before = parts[i] ?? '';
      const comment = before.slice(before.lastIndexOf('/**'));
      const cited = /@source (.+)/.exec(comment)?.[1];
      const name = part.slice(0, part.indexOf('('));
      expect(comment.trimEnd().endsWith('*/'), name).toBe(true);
      expect(cited, name).toBeDefined();
      for (const entry of (cited ?? '').split(';')) {
        expect(SOURCES, `${name} cites ${entry}`).toHaveProperty([
          entry.trim().split(' ')[0] ?? '',
        ]);
      }
    }
  });
});
