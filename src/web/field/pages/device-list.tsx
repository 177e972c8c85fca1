import { useSignal } from '@preact/signals';
import type { Session } from '../../../../shared/contract/session.ts';
import type { Page } from '../../api/addresses.ts';
import { remove } from '../../api/client.ts';
import { useLoaded } from '../../api/loaded.ts';
import { request } from '../../api/request.ts';
import { formatInstant } from '../../language/format.ts';
import { Button } from '../../parts/button.tsx';
import { Notice } from '../../parts/notice.tsx';
import { timeZone } from '../../session/session.ts';
import { say } from '../say.ts';

/** The person's signed-in devices; one that is lost is shut out here, or by an administrator. */
export function DeviceList() {
  const round = useSignal(0);
  const loaded = useLoaded(String(round.value), async (signal) => {
    const query = { limit: 200 };
    return (await request<Page<Session>>('GET', '/sessions', { query, signal })).body.items;
  });
  if (loaded.value.state === 'failed') {
    return <Notice kind="note" title={say('devices-need-network')} />;
  }
  if (loaded.value.state === 'loading') return null;
  return (
    <ul class="field-list">
      {loaded.value.value.map(({ id, deviceName, lastSeenAt, isCurrent }) => (
        <li key={id} class="stack">
          <span>
            <strong>{deviceName || say('unnamed-device')}</strong>{' '}
            {isCurrent ? `(${say('this-device')})` : ''}
          </span>
          <span class="small">
            {say('last-seen', { date: formatInstant(lastSeenAt, timeZone.value) })}
          </span>
          {isCurrent ? null : (
            <Button
              onClick={() => {
                void remove(`/sessions/${id}`).then(() => {
                  round.value += 1;
                });
              }}
            >
              {say('shut-device-out')}
            </Button>
          )}
        </li>
      ))}
    </ul>
  );
}
