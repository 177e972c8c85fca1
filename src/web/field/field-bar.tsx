import { path } from '../route/address.ts';
import { refusedCount, waitingCount } from './outbox/outbox.ts';
import { say } from './say.ts';

const PLACES = [
  { key: 'nav-builds', at: '/field', icon: 'M4 9q8-7 16 0v9q-8 4-16 0zM4 13h16' },
  { key: 'nav-store', at: '/field/store', icon: 'M3 10l9-6 9 6v10H3zM8 20v-6h8v6' },
  { key: 'nav-outbox', at: '/field/outbox', icon: 'M4 13v6h16v-6M12 15V4M7 9l5-5 5 5' },
  { key: 'nav-phone', at: '/field/phone', icon: 'M7 2h10v20H7zM10 18h4' },
] as const;

/** Where a thumb reaches: the four places of the phone's pages. */
export function FieldBar() {
  const here = path.value;
  const count = waitingCount.value + refusedCount.value;
  const isAt = (at: string) =>
    at === '/field' ? here === at || here.startsWith('/field/builds') : here === at;
  return (
    <nav class="field-bar" aria-label={say('field')}>
      {PLACES.map(({ key, at, icon }) => (
        <a key={key} href={at} aria-current={isAt(at) ? 'page' : undefined}>
          <svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true">
            <path d={icon} fill="none" stroke="currentColor" stroke-width="2" />
          </svg>
          <span>
            {say(key)}
            {key === 'nav-outbox' && count > 0 ? <b class="count">{count}</b> : null}
          </span>
        </a>
      ))}
    </nav>
  );
}
