import { AsyncLocalStorage } from 'node:async_hooks';

const batch = new AsyncLocalStorage<true>();

/** Runs a request of the service to itself, which is part of a batch that was counted already. */
export const insideBatch = <Result>(work: () => Promise<Result>): Promise<Result> =>
  batch.run(true, work);

/** True while such a request is answered; no header from outside can make it so. */
export const isInsideBatch = (): boolean => batch.getStore() === true;
