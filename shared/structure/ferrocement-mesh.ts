import { requirePositive } from '../errors.ts';
import { type CheckResult, judge } from './check-result.ts';

/** Least mesh of ferrocement, in general and where it must hold water. */
export const MESH_MINIMA = {
  general: { volumeFractionRatio: 0.018, specificSurfacePerMm: 0.08 },
  waterRetaining: { volumeFractionRatio: 0.035, specificSurfacePerMm: 0.16 },
} as const;

/** Greatest stress of mesh that must hold water: 0.6·fy, at most 30 ksi. */
const WATER_RETAINING_STEEL_STRESS_MPA = 207;

/** Widest crack of ferrocement: in dry air, and in corrosive air or under water. */
export const FERROCEMENT_CRACK_WIDTH_MM = { dry: 0.1, waterRetaining: 0.05 } as const;

/** Usual cover of mortar over mesh. */
export const MESH_COVER_MM = 5;

export interface SquareMesh {
  readonly wireDiameterMm: number;
  readonly wireSpacingMm: number;
  readonly layers: number;
  readonly mortarThicknessMm: number;
}

export interface MeshContent {
  readonly specificSurfacePerMm: number;
  readonly volumeFractionRatio: number;
}

/**
 * Steel content of square mesh, wires of both directions counted.
 *
 *   S_r = 2N·π·d / (s·t),   V_f = 2N·(π·d²/4) / (s·t) = S_r · d / 4
 *
 * @returns specific surface [1/mm], volume fraction
 * @throws {EngineError} when a value is not above 0
 * @source aci-549-1r
 */
export function meshContent(mesh: SquareMesh): MeshContent {
  requirePositive({ ...mesh });
  const { wireDiameterMm: d, wireSpacingMm: s, layers, mortarThicknessMm: t } = mesh;
  const specificSurfacePerMm = (2 * layers * Math.PI * d) / (s * t);
  return { specificSurfacePerMm, volumeFractionRatio: (specificSurfacePerMm * d) / 4 };
}

/**
 * Checks mesh against the least content of ferrocement that must hold water.
 *
 * The programme's tank does not rely on mesh; this serves a tank that is to count as ferrocement.
 *
 * @throws {EngineError} when a value is not above 0
 * @source aci-549-1r
 */
export function meshChecks(mesh: SquareMesh): CheckResult[] {
  const content = meshContent(mesh);
  const least = MESH_MINIMA.waterRetaining;
  return [
    judge({
      id: 'mesh-volume-fraction',
      title: 'Volume of mesh for water retention',
      demand: least.volumeFractionRatio,
      capacity: content.volumeFractionRatio,
      unit: 'ratio',
      source: 'aci-549-1r',
    }),
    judge({
      id: 'mesh-specific-surface',
      title: 'Surface of mesh for water retention',
      demand: least.specificSurfacePerMm,
      capacity: content.specificSurfacePerMm,
      unit: '1/mm',
      source: 'aci-549-1r',
    }),
  ];
}

/**
 * Stress permitted in the mesh of ferrocement that holds water.
 *
 *   0.6 · fy, at most 207 MPa
 *
 * @returns stress [MPa]
 * @throws {EngineError} when the strength is not above 0
 * @source aci-549-1r section 4.3
 */
export function meshStressLimitMPa(yieldStrengthMPa: number): number {
  requirePositive({ yieldStrengthMPa });
  return Math.min(0.6 * yieldStrengthMPa, WATER_RETAINING_STEEL_STRESS_MPA);
}
