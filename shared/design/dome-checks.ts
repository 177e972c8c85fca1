import { bandLimits } from '../structure/band-stress.ts';
import { type CheckResult, judge } from '../structure/check-result.ts';
import {
  MORTAR_COMPRESSION_RATIO,
  MORTAR_DIRECT_TENSION_LIMIT_PA,
  MORTAR_STRENGTH_PA,
} from '../structure/mortar-limits.ts';
import { BAMBOO_STRIP_STRAIN_LIMIT } from '../structure/strip-bending.ts';
import type { TankDome } from '../structure/tank-dome.ts';
import type { CompleteTankDesign } from './tank-design-input.ts';

/**
 * Checks of the dome roof, its springing band and its bamboo grid.
 *
 * @source garlock-domes; aci-549-1r; zoelly-1915; project-limit
 */
export function domeChecks(design: CompleteTankDesign, dome: TankDome): CheckResult[] {
  const limits = bandLimits(design.bands);
  return [
    judge({
      id: 'springing-band-gross-stress',
      title: 'Steel stress of the band at the springing, roof load and one person, gross section',
      demand: dome.springingBand.grossStressPa,
      capacity: limits.permittedGrossStressPa,
      unit: 'Pa',
      source: 'is-3370-2',
    }),
    judge({
      id: 'springing-band-net-stress',
      title: 'Steel stress of the band at the springing, net section at the joint',
      demand: dome.springingBand.netStressPa,
      capacity: limits.permittedNetStressPa,
      unit: 'Pa',
      source: 'is-800',
    }),
    judge({
      id: 'dome-compression',
      title: 'Compression of the dome, roof load and one person',
      demand: dome.maxCompressionPa,
      capacity: MORTAR_COMPRESSION_RATIO * MORTAR_STRENGTH_PA,
      unit: 'Pa',
      source: 'aci-549-1r',
    }),
    judge({
      id: 'dome-edge-tension',
      title: 'Hoop tension of the dome at its edge',
      demand: dome.edgeTensionPa,
      capacity: MORTAR_DIRECT_TENSION_LIMIT_PA,
      unit: 'Pa',
      source: 'project-limit',
    }),
    judge({
      id: 'dome-person-tension',
      title: 'Tension of the dome around one person at the crown',
      demand: dome.personTensionPa,
      capacity: MORTAR_DIRECT_TENSION_LIMIT_PA,
      unit: 'Pa',
      source: 'project-limit',
    }),
    judge({
      id: 'dome-buckling',
      title: 'Roof load against buckling of the dome',
      demand: dome.selfWeightPa + design.dome.liveLoadPa,
      capacity: dome.buckling.allowedPressurePa,
      unit: 'Pa',
      source: 'zoelly-1915',
    }),
    judge({
      id: 'strip-bending-strain',
      title: 'Strain of the most curved roof strip',
      demand: dome.maxStripStrain,
      capacity: BAMBOO_STRIP_STRAIN_LIMIT,
      unit: 'ratio',
      source: 'project-limit',
    }),
  ];
}
