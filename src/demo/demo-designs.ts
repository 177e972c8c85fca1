import type { TankDesignInput } from '../../shared/design/tank-design-input.ts';
import { bambooBandMortarKind } from '../modules/tank-kinds/use-cases.ts';
import type { Body } from './demo-client.ts';
import type { Clients } from './demo-people.ts';

interface StandardTank {
  readonly code: string;
  readonly insideDiameterM: number;
  readonly waterDepthM: number;
  readonly wallThicknessM: number;
  readonly bandCount: number;
}

const STANDARD_TANKS: readonly StandardTank[] = [
  { code: 'T-1800', insideDiameterM: 1.3, waterDepthM: 1.4, wallThicknessM: 0.045, bandCount: 4 },
  { code: 'T-3200', insideDiameterM: 1.6, waterDepthM: 1.6, wallThicknessM: 0.05, bandCount: 6 },
  { code: 'T-5000', insideDiameterM: 1.9, waterDepthM: 1.8, wallThicknessM: 0.055, bandCount: 8 },
  { code: 'T-7900', insideDiameterM: 2.3, waterDepthM: 1.9, wallThicknessM: 0.06, bandCount: 11 },
];

const inputOf = (tank: StandardTank, spacing: 'even' | 'equal-load'): TankDesignInput => ({
  insideDiameterM: tank.insideDiameterM,
  waterDepthM: tank.waterDepthM,
  wallThicknessM: tank.wallThicknessM,
  bands: {
    widthMm: 25,
    thicknessMm: 2,
    yieldStrengthMPa: 250,
    jointEfficiencyRatio: 0.7,
    spacing,
    count: tank.bandCount,
  },
  dome: { riseM: 0.3, thicknessM: 0.04, gridSpacingM: 0.15 },
  slab: { diameterM: tank.insideDiameterM + 2 * tank.wallThicknessM + 0.3, thicknessM: 0.1 },
  soilClass: 'firm-clay',
  windSpeedMPerS: 33,
});

/** Four standard designs that the engineer approves, and an even spacing that fails and is refused. */
export async function makeDesigns(
  { coordinator, engineer }: Clients,
  programmeId: string,
): Promise<void> {
  const { id: tankKindId } = await coordinator.post('/tank-kinds', bambooBandMortarKind());
  const approved: string[] = [];
  for (const tank of STANDARD_TANKS) {
    const { id: designId } = await coordinator.post('/tank-designs', {
      code: tank.code,
      name: `Standard tank ${tank.code.slice(2)} L (invented)`,
      tankKindId,
    });
    if (tank.code === 'T-5000') {
      const failing = { ...tank, bandCount: 4 };
      const even = await coordinator.post(`/tank-designs/${designId}/revisions`, {
        input: inputOf(failing, 'even'),
      });
      await engineer.post(`/design-revisions/${even.id}/decisions`, {
        decision: 'refused',
        remarks: 'Evenly spaced bands: the lowest is over its limit. Space them for equal load.',
      });
    }
    const revision = await coordinator.post<Body>(`/tank-designs/${designId}/revisions`, {
      input: inputOf(tank, 'equal-load'),
    });
    await engineer.post(`/design-revisions/${revision.id}/decisions`, {
      decision: 'approved',
      remarks: 'Invented approval of the demonstration; no such engineer exists.',
    });
    approved.push(revision.id);
  }
  await coordinator.put(`/programmes/${programmeId}/standard-designs`, {
    designRevisionIds: approved,
  });
}
