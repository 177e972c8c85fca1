/** Every task that a worker thread can run, by the name of its file in `tasks/`. */
export const TASKS = {
  'read-rain-file': async () => (await import('./tasks/read-rain-file.ts')).readRainFile,
  'read-site-file': async () => (await import('./tasks/read-site-file.ts')).readSiteFile,
  'size-sites': async () => (await import('./tasks/size-sites.ts')).sizeSites,
  'write-workbook': async () => (await import('./tasks/write-workbook.ts')).writeWorkbook,
};

export type TaskName = keyof typeof TASKS;
type Task<Name extends TaskName> = Awaited<ReturnType<(typeof TASKS)[Name]>>;
export type TaskInput<Name extends TaskName> = Parameters<Task<Name>>[0];
export type TaskOutput<Name extends TaskName> = Awaited<ReturnType<Task<Name>>>;
