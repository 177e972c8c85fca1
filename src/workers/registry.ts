/** Every task that a worker thread can run, by the name of its file in `tasks/`. */
export const TASKS = {
  'cutting-plan': async () => (await import('./tasks/cutting-plan.ts')).cuttingPlan,
  'forecast-season': async () => (await import('./tasks/forecast-season.ts')).forecastSeasonPlan,
  'read-material-file': async () =>
    (await import('./tasks/read-material-file.ts')).readMaterialFile,
  'order-plan': async () => (await import('./tasks/order-plan.ts')).orderPlan,
  'plan-builds': async () => (await import('./tasks/plan-builds.ts')).planSeasonBuilds,
  'read-rain-file': async () => (await import('./tasks/read-rain-file.ts')).readRainFile,
  'read-site-file': async () => (await import('./tasks/read-site-file.ts')).readSiteFile,
  'season-plan': async () => (await import('./tasks/season-plan.ts')).seasonPlan,
  'size-sites': async () => (await import('./tasks/size-sites.ts')).sizeSites,
  'standard-sizes': async () => (await import('./tasks/standard-sizes.ts')).chosenSizes,
  'storage-reliability': async () =>
    (await import('./tasks/storage-reliability.ts')).storageReliabilityTask,
  'tank-proposal': async () => (await import('./tasks/tank-proposal.ts')).tankProposal,
  'write-calendar': async () => (await import('./tasks/write-calendar.ts')).writeCalendar,
  'write-workbook': async () => (await import('./tasks/write-workbook.ts')).writeWorkbook,
};

export type TaskName = keyof typeof TASKS;
type Task<Name extends TaskName> = Awaited<ReturnType<(typeof TASKS)[Name]>>;
export type TaskInput<Name extends TaskName> = Parameters<Task<Name>>[0];
export type TaskOutput<Name extends TaskName> = Awaited<ReturnType<Task<Name>>>;
