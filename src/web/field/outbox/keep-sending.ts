import { who } from '../../session/session.ts';
import { askSession, isOffline, isShutOut } from '../kept/owner.ts';
import { refreshSeason } from '../kept/refresh-season.ts';
import { waitingCount } from './outbox.ts';
import { sendOutbox } from './send-outbox.ts';

/** Seconds between attempts while something waits; doubled after each that fails, up to the longest. */
const FIRST_WAIT_S = 15;
const LONGEST_WAIT_S = 10 * 60;

let waitS = FIRST_WAIT_S;
let timer: ReturnType<typeof setTimeout> | undefined;

/** Sends what waits and reads what changed, now; later again when that did not work. */
export async function exchange(): Promise<void> {
  clearTimeout(timer);
  if (isOffline.value || who.value === undefined) await askSession();
  if (isShutOut.value) return;
  const isDone = await sendOutbox();
  if (isDone && !isOffline.value) {
    waitS = FIRST_WAIT_S;
    await refreshSeason().catch(() => undefined);
  } else {
    waitS = Math.min(waitS * 2, LONGEST_WAIT_S);
  }
  if (!isDone || waitingCount.value > 0) timer = setTimeout(run, waitS * 1_000);
}

const run = () => void exchange().catch(() => undefined);

/** Sends whenever there is a chance: a network, a look at the page, time gone by. */
export function keepSending(): void {
  addEventListener('online', () => {
    waitS = FIRST_WAIT_S;
    isOffline.value = false;
    run();
  });
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') run();
  });
  run();
}
