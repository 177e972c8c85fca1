import { describe, expect, it } from 'vitest';
import {
  circleAreaM2,
  cylinderCapacityL,
  depthForCapacityM,
} from '../../../shared/geometry/cylinder.ts';
import { sphericalCap } from '../../../shared/geometry/spherical-cap.ts';
import {
  type BandZone,
  equalLoadBandZones,
  evenBandZones,
  midpointBandZones,
  midpointEqualBandLevels,
} from '../../../shared/structure/band-levels.ts';
import { bandTensionsN } from '../../../shared/structure/band-loads.ts';
import { bandStress, jointEfficiencyRatio } from '../../../shared/structure/band-stress.ts';
import {
  overturningSafetyFactor,
  slabBearing,
  slidingSafetyFactor,
} from '../../../shared/structure/bearing.ts';
import { crackWidthLimitMm, leakTestMaxFallMm } from '../../../shared/structure/crack-limit.ts';
import { cylinderWall } from '../../../shared/structure/cylinder-wall.ts';
import { domeBuckling } from '../../../shared/structure/dome-buckling.ts';
import { domeEdge, domeForcesAt } from '../../../shared/structure/dome-membrane.ts';
import {
  domePointLoadForces,
  domeRingTensionN,
} from '../../../shared/structure/dome-point-load.ts';
import { earthquakeLoad } from '../../../shared/structure/earthquake-load.ts';
import {
  freeRingHoopForceNPerM,
  hydrostaticPressurePa,
  totalHoopForceN,
} from '../../../shared/structure/hydrostatic.ts';
import { liquidMassModel, liquidPeriods } from '../../../shared/structure/liquid-mass-model.ts';
import { standPipeFlow } from '../../../shared/structure/overflow-outlet.ts';
import {
  peakRoofFlowLPerS,
  roofAreaForPipeM2,
  verticalPipeFlowLPerS,
} from '../../../shared/structure/rain-pipe.ts';
import { tankMasses } from '../../../shared/structure/tank-masses.ts';
import { verticalSpan } from '../../../shared/structure/vertical-span.ts';
import { wallDecayLengths, wallSlenderness } from '../../../shared/structure/wall-coefficients.ts';
import { windLoad } from '../../../shared/structure/wind-load.ts';
import published from '../../published/structure/worked-example-5000-l.json' with { type: 'json' };
import { expectPrinted, expectPrintedRow } from './printed-number.ts';

const { input } = published;
const { insideDiameterM: d, waterDepthM: h, wallThicknessM: t } = input;
const radiusM = d / 2;
const cap = sphericalCap(radiusM, input.dome.riseM);
const slabAreaM2 = circleAreaM2(input.slab.diameterM);
const masses = tankMasses({
  ...input,
  cap,
  domeThicknessM: input.dome.thicknessM,
  slabDiameterM: input.slab.diameterM,
  slabThicknessM: input.slab.thicknessM,
});

// every number below: source worked-example-5000-l, an independent calculation for the project
describe('worked example of 5,000 litres', () => {
  it('reproduces volume, pressure and slenderness', () => {
    const { basics } = published;
    expectPrinted(cylinderCapacityL(d, h) / 1000, basics.volumeM3);
    expectPrinted(depthForCapacityM(d, 5000), basics.depthFor5000LM);
    expectPrinted(hydrostaticPressurePa(h) / 1000, basics.floorPressureKPa);
    expectPrinted(freeRingHoopForceNPerM(h, radiusM) / 1000, basics.freeRingAtFloorKNPerM);
    const slenderness = wallSlenderness(h, d, t);
    expectPrinted(slenderness, basics.slenderness);
    expectPrinted(wallDecayLengths(slenderness, 0.2), basics.decayLengths);
    expectPrinted(totalHoopForceN(h, radiusM) / 1000, basics.totalHoopKN);
  });

  it.each(['free', 'fixed', 'hinged'] as const)('reproduces the hoop profile, %s base', (base) => {
    const wall = cylinderWall(input, base);
    const kNPerM = wall.hoopForceProfileNPerM.map((force) => force / 1000);
    expectPrintedRow(kNPerM, published.wall.profileKNPerM[base], base);
  });

  it.each(['fixed', 'hinged'] as const)('reproduces every wall quantity, %s base', (base) => {
    const wall = cylinderWall(input, base);
    const printed = published.wall[base];
    const hoopScale = freeRingHoopForceNPerM(h, radiusM);
    const momentScale = 9810 * h ** 3;
    expectPrintedRow(
      wall.hoopForceProfileNPerM.map((force) => force / hoopScale),
      published.wall.coefficientProfile[base],
    );
    expectPrinted(wall.maxHoopForceNPerM / hoopScale, printed.maxHoopCoefficient);
    expectPrinted(wall.maxHoopForceNPerM / 1000, printed.maxHoopKNPerM);
    expectPrinted(wall.depthOfMaxM, printed.depthOfMaxM);
    expectPrinted(h - wall.depthOfMaxM, printed.maxFromFloorM);
    expectPrinted(wall.maxHoopForceNPerM / t / 1e6, printed.hoopStressMPa);
    expectPrinted(wall.maxHoopForceNPerM / t / 1.2e6, printed.utilisationOn1200KPa);
    expectPrinted(wall.baseMomentNmPerM / momentScale, printed.baseMomentCoefficient);
    expectPrinted(wall.baseMomentNmPerM / 1000, printed.baseMomentKNmPerM);
    expectPrinted((-6 * wall.baseMomentNmPerM) / t ** 2 / 1e6, printed.baseBendingMPa);
    expectPrinted(wall.maxOppositeMomentNmPerM / momentScale, printed.oppositeMomentCoefficient);
    expectPrinted(wall.maxOppositeMomentNmPerM / 1000, printed.oppositeMomentKNmPerM);
    expectPrinted(wall.depthOfMaxOppositeMomentM / h, printed.oppositeMomentDepthRatio);
    expectPrinted((6 * wall.maxOppositeMomentNmPerM) / t ** 2 / 1e6, printed.oppositeBendingMPa);
    expectPrinted(wall.baseShearNPerM / (9810 * h ** 2), printed.baseShearCoefficient);
    expectPrinted(wall.baseShearNPerM / 1000, printed.baseShearKNPerM);
    expectPrinted(wall.maxDisplacementM * 1000, printed.maxDisplacementMm);
    expectPrinted(wall.totalHoopForceN / 1000, printed.totalHoopKN);
  });

  it('reproduces the free-ring stress at the floor', () => {
    const stressMPa = freeRingHoopForceNPerM(h, radiusM) / t / 1e6;
    expectPrinted(stressMPa, published.wall.freeRingStressAtFloorMPa);
  });

  const equal = equalLoadBandZones(h, 4);
  const equalLevels = equal.map((zone) => zone.levelBelowWaterM);
  const midpointEqual = midpointEqualBandLevels(h, 4) ?? [];
  const zonesOfCase: Record<'A' | 'B' | 'C' | 'D' | 'E', BandZone[]> = {
    A: evenBandZones(h, 4),
    B: midpointBandZones(
      h,
      [1, 2, 3, 4].map((i) => (i * h) / 5),
    ),
    C: equal,
    D: midpointBandZones(h, equalLevels),
    E: midpointBandZones(h, midpointEqual),
  };

  it.each(['A', 'B', 'C', 'D', 'E'] as const)('reproduces band case %s', (name) => {
    const printed = published.bands.cases[name];
    const zones = zonesOfCase[name];
    const loadsN = bandTensionsN(zones, radiusM);
    const section = {
      widthMm: 25,
      thicknessMm: 2,
      yieldStrengthMPa: 250,
      jointEfficiencyRatio: 1,
    };
    const stresses = loadsN.map((loadN) => bandStress(loadN, section));
    const edges = [0, ...zones.map((zone) => zone.toDepthM)];
    expectPrintedRow(
      zones.map((zone) => zone.levelBelowWaterM),
      printed.levels,
      'levels',
    );
    expectPrintedRow(edges, printed.edges, 'edges');
    expectPrintedRow(
      loadsN.map((loadN) => loadN / 1000),
      printed.loadsKN,
      'loads',
    );
    expectPrintedRow(
      stresses.map((stress) => stress.grossStressPa / 1e6),
      printed.stressMPa,
      'stress',
    );
    const mean = totalHoopForceN(h, radiusM) / 4;
    expectPrinted(Math.max(...loadsN) / mean, printed.maxToMean);
    const utilisation = Math.max(...stresses.map((stress) => stress.grossUtilisationRatio));
    if ('utilisationOn115' in printed) expectPrinted(utilisation, printed.utilisationOn115);
    if (name === 'A' || name === 'C' || name === 'E') {
      expectPrintedRow(
        zones.map((zone) => h - zone.levelBelowWaterM),
        published.bands.heightsAboveFloorM[name],
      );
    }
  });

  it('reproduces other band sections and the net section with one hole', () => {
    const greatestA = Math.max(...bandTensionsN(zonesOfCase.A, radiusM));
    const eachC = Math.max(...bandTensionsN(zonesOfCase.C, radiusM));
    const steel = { widthMm: 25, yieldStrengthMPa: 250 };
    for (const { thicknessMm, greatestA: stressA, C } of published.bands.otherSections) {
      const section = { ...steel, thicknessMm, jointEfficiencyRatio: 1 };
      expectPrinted(bandStress(greatestA, section).grossStressPa / 1e6, stressA);
      expectPrinted(bandStress(eachC, section).grossStressPa / 1e6, C);
    }
    for (const row of published.bands.netSections) {
      const efficiency = jointEfficiencyRatio(25, row.holeMm);
      const section = {
        ...steel,
        thicknessMm: row.thicknessMm,
        jointEfficiencyRatio: efficiency,
      };
      expectPrinted(25 * row.thicknessMm * efficiency, row.netAreaMm2);
      expectPrinted(bandStress(eachC, section).netStressPa / 1e6, row.C);
      expectPrinted(bandStress(greatestA, section).netStressPa / 1e6, row.greatestA);
    }
  });

  it('reproduces the vertical strip between two even bands', () => {
    const printed = published.bands.verticalSpan;
    const span = verticalSpan(printed.topM, printed.bottomM, t);
    expectPrinted(span.pressurePa / 1000, printed.pressureKPa);
    expectPrinted(span.momentNmPerM / 1000, printed.momentKNmPerM);
    expectPrinted(span.bendingStressPa / 1e6, printed.stressMPa);
  });

  it('reproduces the dome: geometry, four loads and one person', () => {
    const { dome } = published;
    expectPrinted(cap.sphereRadiusM, dome.sphereRadiusM);
    expectPrinted((cap.edgeAngleRad * 180) / Math.PI, dome.edgeAngleDeg);
    expectPrinted(cap.surfaceAreaM2, dome.surfaceM2);
    expectPrinted(cap.planAreaM2, dome.planM2);
    expectPrinted(cap.volumeM3, dome.volumeM3);
    for (const row of dome.loads) {
      const loads = { selfWeightPa: row.selfPa, liveLoadPa: row.livePa };
      const edge = domeEdge(cap, loads);
      expectPrinted(edge.meridionalForceNPerM / 1000, row.edge);
      expectPrinted(edge.hoopForceNPerM / 1000, row.edgeHoop);
      expectPrinted(domeForcesAt(cap, loads, 0).meridionalForceNPerM / 1000, row.crown);
      expectPrinted(edge.verticalReactionNPerM / 1000, row.vertical);
      expectPrinted(edge.thrustNPerM / 1000, row.thrust);
      expectPrinted(edge.ringTensionN / 1000, row.ring);
      expectPrinted(edge.totalLoadN / 1000, row.total);
    }
    for (const row of dome.person) {
      const forces = domePointLoadForces(cap, 1000, row.distanceM);
      expectPrinted(-forces.meridionalForceNPerM / 1000, row.forceKNPerM);
      expectPrinted(forces.hoopForceNPerM / 0.04 / 1e6, row.stressMPa);
    }
    const personRingN = domeRingTensionN(cap, 1000);
    const ringN = domeEdge(cap, { selfWeightPa: 960, liveLoadPa: 1500 }).ringTensionN;
    expectPrinted(personRingN / 1000, dome.personRingKN);
    expectPrinted((ringN + personRingN) / 1000, dome.ringWithPersonKN);
    expectPrinted((ringN + personRingN) / 50, dome.springingStressMPa);
    expectPrinted((ringN + personRingN) / 115, dome.ringSteelAt115Mm2);
    const buckling = domeBuckling(20e9, 0.04, cap.sphereRadiusM);
    expectPrinted(buckling.classicalPressurePa / 1e6, dome.bucklingMPa);
  });

  it('reproduces masses, weights and bearing', () => {
    const { base } = published;
    expectPrinted(masses.waterKg, base.waterKg);
    expectPrinted(masses.wallKg, base.wallKg);
    expectPrinted(masses.domeKg, base.domeKg);
    expectPrinted(masses.slabKg, base.slabKg);
    expectPrinted(masses.fullWeightN / 1000, base.fullKN);
    expectPrinted(masses.emptyWeightN / 1000, base.emptyKN);
    expectPrinted(slabAreaM2, base.slabAreaM2);
    const bearing = slabBearing(masses.fullWeightN, input.slab.diameterM);
    expectPrinted((bearing.maxPressurePa ?? 0) / 1000, base.bearingKPa);
    expectPrinted((bearing.maxPressurePa ?? 0) / 72_000, base.utilisationOn72KPa);
    expectPrinted(bearing.kernM, base.kernM);
    const loadedN = masses.fullWeightN + 1500 * cap.planAreaM2;
    expectPrinted(loadedN / slabAreaM2 / 1000, base.bearingWithRoofLoadKPa);
  });

  it('reproduces the empty tank in four winds', () => {
    const { wind } = published;
    expectPrinted((masses.emptyWeightN * input.slab.diameterM) / 2000, wind.resistingKNm);
    for (const row of wind.rows) {
      const load = windLoad({
        windSpeedMPerS: row.speed,
        outsideDiameterM: d + 2 * t,
        wallHeightM: h,
        domeRiseM: input.dome.riseM,
        slabThicknessM: input.slab.thicknessM,
      });
      expectPrinted(load.pressurePa / 1000, row.pressure);
      expectPrinted(load.forceN / 1000, row.force);
      expectPrinted(load.momentNm / 1000, row.moment);
      const { emptyWeightN } = masses;
      const overturning = overturningSafetyFactor(
        emptyWeightN,
        input.slab.diameterM,
        load.momentNm,
      );
      expectPrinted(overturning ?? 0, row.overturning);
      const sliding = slidingSafetyFactor(wind.frictionRatio * emptyWeightN, load.forceN);
      expectPrinted(sliding ?? 0, row.sliding);
    }
  });

  it('reproduces the two-mass model and two earthquakes', () => {
    const { earthquake } = published;
    const model = liquidMassModel(d, h);
    expectPrinted(h / d, earthquake.slimness);
    expectPrinted(model.impulsiveMassRatio, earthquake.impulsiveMassRatio);
    expectPrinted(model.impulsiveHeightRatio, earthquake.impulsiveHeightRatio);
    expectPrinted(model.impulsiveHeightWithFloorRatio, earthquake.impulsiveHeightWithFloorRatio);
    expectPrinted(model.convectiveMassRatio, earthquake.convectiveMassRatio);
    expectPrinted(model.convectiveHeightRatio, earthquake.convectiveHeightRatio);
    expectPrinted(model.convectiveHeightWithFloorRatio, earthquake.convectiveHeightWithFloorRatio);
    expectPrinted(model.impulsivePeriodCoefficient, earthquake.impulsivePeriodCoefficient);
    expectPrinted(model.convectivePeriodCoefficient, earthquake.convectivePeriodCoefficient);
    const periods = liquidPeriods(d, h, t, input.mortarModulusPa);
    expectPrinted(periods.impulsivePeriodS, earthquake.impulsivePeriodS);
    expectPrinted(periods.convectivePeriodS, earthquake.convectivePeriodS);
    for (const row of earthquake.cases) {
      const load = earthquakeLoad({
        insideDiameterM: d,
        waterDepthM: h,
        domeRiseM: input.dome.riseM,
        slabThicknessM: input.slab.thicknessM,
        masses,
        impulsiveCoefficient: row.impulsive,
        convectiveCoefficient: row.convective,
      });
      expectPrinted(load.impulsiveMassKg, earthquake.impulsiveMassKg);
      expectPrinted(load.convectiveMassKg, earthquake.convectiveMassKg);
      const shears = [load.impulsiveShearN, load.convectiveShearN, load.baseShearN];
      expectPrintedRow(
        shears.map((force) => force / 1000),
        row.shear,
        'shear',
      );
      const moments = [load.impulsiveMomentNm, load.convectiveMomentNm, load.overturningMomentNm];
      expectPrintedRow(
        moments.map((moment) => moment / 1000),
        row.moment,
        'moment',
      );
      const { diameterM } = input.slab;
      const bearing = slabBearing(masses.fullWeightN, diameterM, load.overturningMomentNm);
      expectPrinted(bearing.eccentricityM, row.eccentricity);
      expectPrintedRow(
        [(bearing.maxPressurePa ?? 0) / 1000, (bearing.minPressurePa ?? 0) / 1000],
        row.bearing,
        'bearing',
      );
      const { fullWeightN } = masses;
      const overturning = overturningSafetyFactor(fullWeightN, diameterM, load.overturningMomentNm);
      expectPrinted(overturning ?? 0, row.overturning);
      const sliding = slidingSafetyFactor(earthquake.frictionRatio * fullWeightN, load.baseShearN);
      expectPrinted(sliding ?? 0, row.sliding);
      expectPrinted(load.impulsiveFloorPressurePa / 1000, row.floorPressure);
    }
  });

  it('reproduces the hydraulics', () => {
    const { hydraulics } = published;
    expectPrinted(peakRoofFlowLPerS(50, 150), hydraulics.roofFlowLPerS);
    const flow = standPipeFlow(hydraulics.standPipe.boreMm, hydraulics.standPipe.headMm);
    expectPrinted(flow.weirLPerS, hydraulics.standPipe.weir);
    expectPrinted(flow.orificeLPerS, hydraulics.standPipe.orifice);
    expect(flow.flowLPerS).toBe(flow.orificeLPerS);
    expectPrinted(verticalPipeFlowLPerS(75, 0.33), hydraulics.pipeAtThird);
    expectPrinted(roofAreaForPipeM2(75, 150), hydraulics.roofArea75At150M2);
    expectPrinted(roofAreaForPipeM2(100, 150), hydraulics.roofArea100At150M2);
  });

  it('reproduces crack limit and leak test', () => {
    expectPrinted(h / t, published.crack.gradient);
    expectPrinted(crackWidthLimitMm(h, t), published.crack.widthLimitMm);
    expectPrinted(leakTestMaxFallMm(h), published.crack.leakTestFallMm);
  });
});
