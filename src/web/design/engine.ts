/** The design engine in the browser: the very functions that the service runs. */
export { checkTank } from '../../../shared/design/check-tank.ts';
export {
  completeTankDesign,
  TANK_DESIGN_LIMITS,
} from '../../../shared/design/tank-design-input.ts';
export { stripCuts } from '../../../shared/drawing/cut-list.ts';
export { tankDrawing } from '../../../shared/drawing/tank-drawing.ts';
export { EngineError } from '../../../shared/errors.ts';
export { SOURCES } from '../../../shared/sources.ts';
export { burstHazard } from '../../../shared/structure/burst-hazard.ts';
export { SOIL_CLASSES, SOILS } from '../../../shared/structure/soils.ts';
export { oneBandCutLengthM } from '../../../shared/takeoff/measures.ts';
export { ENGINE_VERSION } from '../../../shared/version.ts';
