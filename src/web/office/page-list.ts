import type { Page } from '../route/pages.tsx';

/** Pages of the office, each with the permission that it needs to be of use. */
export const PAGES: readonly Page[] = [];
