import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { checkTank } from '../../../shared/design/check-tank.ts';
import { type Fitting, proposedFittings } from '../../../shared/drawing/fittings.ts';
import { EngineError } from '../../../shared/errors.ts';
import { draw, TITLE, tankOf, WORKED_TANK } from './drawn-tanks.ts';
import { drawnTexts, words } from './drawn-text.ts';

describe('the title block', () => {
  it('names design, revision, scale and decision, and warns, on every sheet', () => {
    const { standingSentence } = checkTank(WORKED_TANK);
    for (const { svg } of draw(WORKED_TANK)) {
      const text = words(svg);
      expect(text).toContain('T-1 revision 3'.replace(' ', '   '));
      expect(text).toContain(TITLE.designName);
      expect(text).toContain(TITLE.approval);
      expect(text).toMatch(/(?:Section|Plan|Grid) 1:20|Not to scale/);
      expect(text).toContain('Not for construction unless approved by a licensed engineer.');
      expect(text).toContain(standingSentence);
      expect(text).toContain('Checks: pass; at most 0.763 of a limit used');
    }
  });

  it('says undecided on every sheet while there is no decision', () => {
    const sheets = draw(WORKED_TANK, { title: { ...TITLE, approval: null } });
    expect(sheets.length).toBeGreaterThan(3);
    for (const { svg } of sheets) {
      expect(words(svg)).toContain('Undecided: no engineer has approved this revision.');
      expect(svg).not.toContain('null');
    }
  });

  it('prints every caution, every reason for review and every check that does not pass', () => {
    const design = { ...WORKED_TANK, soilClass: 'peat', waterDepthM: 2.3 } as const;
    const check = checkTank(design);
    const text = draw(design, { remarks: ['A remark of the revision.'] })
      .map(({ svg }) => words(svg))
      .join(' ');
    expect(check.reviewTriggers.length).toBeGreaterThan(1);
    expect(check.outcome).toBe('fail');
    for (const caution of check.cautions) expect(text).toContain(caution.text);
    for (const { reason } of check.reviewTriggers) expect(text).toContain(reason);
    for (const { title, outcome } of check.checks) {
      if (outcome !== 'pass') expect(text).toContain(`${outcome}: ${title}`);
    }
    expect(text).toContain('A remark of the revision.');
  });

  const HOSTILE = [
    '</text><script>alert(1)</script>',
    '"><image href="http://evil.example/x.png"/>',
    "' onload='alert(1)",
    '&lt;&amp;&#0;]]>',
    'a\u0000b\u0008c\u202ed\ud800e\uffff',
    '<!DOCTYPE x [<!ENTITY a "b">]>&a;',
  ];

  it.each(HOSTILE)('shows the hostile name %j as text', async (hostile) => {
    const title = { ...TITLE, designCode: hostile, designName: hostile, approval: hostile };
    const plain = draw(WORKED_TANK)[0]?.svg ?? '';
    const svg = draw(WORKED_TANK, { title })[0]?.svg ?? '';
    const tags = (text: string) =>
      [...text.matchAll(/<[^>]*>/g)].map(([tag]) => tag.split(/[\s>]/)[0]);
    expect([...new Set(tags(svg))].sort()).toEqual([...new Set(tags(plain))].sort());
    // biome-ignore lint/suspicious/noControlCharactersInRegex: none may be left
    expect(svg).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u202e\uffff]|\p{Cs}/u);
    const visible = hostile
      // biome-ignore lint/suspicious/noControlCharactersInRegex: as the drawing does
      .replace(/[\u0000-\u001f\u202e\uffff]/g, ' ')
      .replace(/\p{Cs}/gu, '?');
    expect(words(svg)).toContain(visible.slice(0, 12));
    // a reader of XML refuses the file where it is not well formed
    const { width } = await sharp(Buffer.from(svg)).metadata();
    expect(width).toBeGreaterThan(100);
  });
});

describe('the fittings', () => {
  it('are proposed inside the tank, apart from each other, at every size', () => {
    for (const sizeL of [200, 500, 1000, 5000, 20_000]) {
      for (const shape of [0.6, 1, 1.5]) {
        const design = tankOf(sizeL, shape, 3);
        const radiusM = design.insideDiameterM / 2;
        const fittings = proposedFittings(design);
        expect(fittings.map(({ kind }) => kind)).toEqual([
          'inlet',
          'overflow',
          'washout',
          'tap',
          'hatch',
        ]);
        const hatch = fittings.at(-1) as Fitting;
        const half = (hatch.clearSideM ?? 0) / 2;
        // a corner of the square lies farthest out
        expect(Math.hypot(hatch.fromCentreM + half, half)).toBeLessThan(radiusM);
        // programme limits: 0.56 m clear where the tank is wide enough, never above 0.60 m
        expect(hatch.clearSideM).toBeLessThanOrEqual(0.6);
        if (radiusM >= 0.56) expect(hatch.clearSideM).toBe(0.56);
        const inlet = fittings[0] as Fitting;
        const turn = ((hatch.bearingDeg - inlet.bearingDeg) * Math.PI) / 180;
        const gap = Math.sqrt(
          hatch.fromCentreM ** 2 +
            inlet.fromCentreM ** 2 -
            2 * hatch.fromCentreM * inlet.fromCentreM * Math.cos(turn),
        );
        expect(gap).toBeGreaterThan(half * Math.SQRT2);
        const overflow = fittings[1] as Fitting;
        expect(design.waterDepthM - (overflow.aboveFloorM ?? 0)).toBeCloseTo(0.05, 9);
      }
    }
  });

  it('stand on the plan where their bearings say, north up', () => {
    const fittings: Fitting[] = [
      { kind: 'tap', bearingDeg: 90, fromCentreM: 0.95, aboveFloorM: 0.2, clearSideM: null },
      { kind: 'inlet', bearingDeg: 0, fromCentreM: 0.5, aboveFloorM: null, clearSideM: null },
      { kind: 'hatch', bearingDeg: 270, fromCentreM: 0.4, aboveFloorM: null, clearSideM: 0.5 },
    ];
    const plan = draw(WORKED_TANK, { fittings })[1]?.svg ?? '';
    const texts = drawnTexts(plan);
    const at = (text: string) => texts.find((each) => each.text === text);
    const north = at('N');
    expect(north).toBeDefined();
    const [tap, inlet, hatch] = ['A tap', 'B inlet', 'C hatch'].map((text) =>
      texts.find((each) => each.text === text && each.right < 190),
    );
    expect(inlet?.bottom).toBeLessThan((tap?.top ?? 0) - 10);
    expect(hatch?.right).toBeLessThan((tap?.left ?? 0) - 80);
    expect(Math.abs((hatch?.top ?? 0) - (tap?.top ?? 1000))).toBeLessThan(1);
    expect(words(plan)).toContain('Places are as given with the design.');
    for (const cell of ['90°', '270°', '950', '200', 'in dome']) expect(at(cell)).toBeDefined();
  });

  it.each([
    [{ bearingDeg: 361 }, 'fittings[0].bearingDeg'],
    [{ bearingDeg: Number.NaN }, 'fittings[0].bearingDeg'],
    [{ fromCentreM: 2 }, 'fittings[0].fromCentreM'],
    [{ aboveFloorM: 2 }, 'fittings[0].aboveFloorM'],
    [{ clearSideM: -1 }, 'fittings[0].clearSideM'],
    [{ kind: 'door' as 'tap' }, 'fittings[0].kind'],
  ])('refuses %j and names the field', (wrong, parameter) => {
    const tap: Fitting = {
      kind: 'tap',
      bearingDeg: 0,
      fromCentreM: 0.9,
      aboveFloorM: 0.1,
      clearSideM: null,
    };
    const refusal = () => draw(WORKED_TANK, { fittings: [{ ...tap, ...wrong }] });
    expect(refusal).toThrow(EngineError);
    expect(refusal).toThrow(parameter);
  });

  it('refuses a design that the checks refuse', () => {
    const check = checkTank(WORKED_TANK);
    expect(() => draw({ ...WORKED_TANK, waterDepthM: 9 })).toThrow('waterDepthM');
    expect(check.outcome).toBe('pass');
  });
});
