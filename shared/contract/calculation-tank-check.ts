import type { z } from 'zod';
import { tankCheck, tankDesignInput } from './design-revision.ts';

/** The design that a revision would hold, and what its checks find; nothing is stored. */
export const tankCheckInput = tankDesignInput;
export const tankCheckResult = tankCheck;

export type TankCheckBody = z.infer<typeof tankCheckInput>;
export type TankCheckResult = z.infer<typeof tankCheckResult>;
