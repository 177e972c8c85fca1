// hydrology
export * from './hydrology/demand.ts';
export * from './hydrology/first-flush.ts';
export * from './hydrology/rainfall-series.ts';
export * from './hydrology/rainfall-statistics.ts';
export * from './hydrology/reliability.ts';
export * from './hydrology/roof-kinds.ts';
export * from './hydrology/runoff.ts';
export * from './hydrology/sequent-peak.ts';
export * from './hydrology/service-indicators.ts';
export * from './hydrology/storage-balance.ts';
export * from './hydrology/storage-reliability.ts';
export {
  NAMED_OPERATING_RULES,
  type NamedOperatingRule,
  type OperatingRule,
  type Rationing,
  STORAGE_TIE_L,
  type StorageRun,
  spillageTheta,
} from './hydrology/storage-run.ts';
export * from './hydrology/storage-sizing.ts';
export * from './hydrology/storage-summary.ts';
export * from './units/calendar.ts';
