/** Addresses that the phone's pages answer, with or without a network. */
export const isFieldPath = (path: string): boolean =>
  path === '/field' || path.startsWith('/field/');

export const buildPath = (buildId: string) => `/field/builds/${buildId}`;
export const stagePath = (buildId: string, stageCode: string) =>
  `${buildPath(buildId)}/stages/${encodeURIComponent(stageCode)}`;
export const inspectionPath = (buildId: string) => `${buildPath(buildId)}/inspection`;
