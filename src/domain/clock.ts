/** The service's only source of the present; tests pass their own. */
export interface Clock {
  now(): Date;
  /** Today's date, YYYY-MM-DD, in UTC. */
  today(): string;
}

export const systemClock: Clock = {
  now: () => new Date(),
  today: () => new Date().toISOString().slice(0, 10),
};
