import { Button } from '../../parts/button.tsx';
import { Empty } from '../../parts/empty.tsx';
import { exchange } from '../outbox/keep-sending.ts';
import { items, waitingCount } from '../outbox/outbox.ts';
import { sending } from '../outbox/send-outbox.ts';
import { say } from '../say.ts';
import { OutboxList } from './outbox-list.tsx';

/** Everything that this phone recorded: refused first, then waiting, then sent. */
export function OutboxPage() {
  const of = (state: string) => items.value.filter((item) => item.state === state);
  const [refused, waiting, sent] = [of('refused'), of('waiting'), of('sent')];
  return (
    <>
      <h1>{say('outbox')}</h1>
      <p>{say('waiting-count', { count: waitingCount.value })}</p>
      <Button
        kind="main"
        disabled={sending.value !== null}
        onClick={() => void exchange().catch(() => undefined)}
      >
        {sending.value ? say('sending-now', sending.value) : say('send-now')}
      </Button>
      {items.value.length === 0 ? <Empty title={say('outbox-empty')} /> : null}
      <OutboxList items={refused} />
      <OutboxList items={waiting} />
      <OutboxList items={sent} />
    </>
  );
}
