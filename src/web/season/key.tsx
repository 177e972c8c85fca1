import { Status } from '../parts/status.tsx';
import { TankMark } from '../parts/tank-mark.tsx';
import { say } from './say.ts';
import { BUILD_STATUSES } from './statuses.ts';

/** What the drawing of each status looks like. */
const COMPLETE_RATIOS = {
  planned: 0,
  started: 0.5,
  'on-hold': 0.4,
  complete: 1,
  'handed-over': 1,
  cancelled: 0,
} as const;

/** Tells how the drawings of tanks are read. */
export function Key() {
  return (
    <section class="panel">
      <h2>{say('key')}</h2>
      <p>{say('key-text')}</p>
      <ul class="key">
        {BUILD_STATUSES.map((status) => (
          <li key={status}>
            <TankMark status={status} completeRatio={COMPLETE_RATIOS[status]} />
            <Status of={status} />
          </li>
        ))}
      </ul>
    </section>
  );
}
