import type { Clock } from './clock.ts';
import { invalidContent } from './errors.ts';

/** What was seen, spent or reported lies behind us: refuses a day after today, naming the field. */
export function refuseFutureDate(clock: Clock, pointer: string, day: string): void {
  const today = clock.today();
  if (day <= today) return;
  throw invalidContent([
    {
      pointer,
      code: 'date.in-future',
      message: `must not be after today, ${today}`,
      rejectedValue: day,
    },
  ]);
}
