import { isOffline, isShutOut } from './kept/owner.ts';
import { refreshing } from './kept/refresh-season.ts';
import { refusedCount, waitingCount } from './outbox/outbox.ts';
import { sending } from './outbox/send-outbox.ts';
import { say } from './say.ts';

/** One line at the top: network, what waits, what goes on. Never by colour alone. */
export function Standing() {
  const refused = refusedCount.value;
  return (
    <header class="standing" data-network={isOffline.value ? 'none' : 'there'}>
      <span role="status">{sentence()}</span>
      {refused > 0 ? (
        <a href="/field/outbox">
          <strong>{say('refused-count', { count: refused })}</strong>
        </a>
      ) : null}
    </header>
  );
}

function sentence(): string {
  const count = waitingCount.value;
  const waits = count > 0 ? say('waiting-count', { count }) : '';
  if (sending.value) return say('sending-now', sending.value);
  if (isShutOut.value) return `${say('shut-out')} ${waits}`;
  if (isOffline.value) return `${say('no-network')} ${waits}`;
  if (refreshing.value) return say('reading-now', refreshing.value);
  return waits || say('all-sent');
}
