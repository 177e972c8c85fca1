import { items } from '../outbox/outbox.ts';
import { say } from '../say.ts';
import { OutboxList } from './outbox-list.tsx';

/** What this phone recorded of stores. */
export function StoreOutbox() {
  const mine = items.value.filter(({ title }) => title.kind.startsWith('stock-'));
  if (mine.length === 0) return null;
  return (
    <section class="stack">
      <h2>{say('on-phone')}</h2>
      <OutboxList items={mine} />
    </section>
  );
}
