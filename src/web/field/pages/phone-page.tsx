import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { formatNumber } from '../../language/format.ts';
import { LanguageAndLight } from '../../office/language-and-light.tsx';
import { Button } from '../../parts/button.tsx';
import { Notice } from '../../parts/notice.tsx';
import { signOut } from '../../session/session.ts';
import { isShutOut, owner } from '../kept/owner.ts';
import { items, photos, wipe } from '../outbox/outbox.ts';
import { say } from '../say.ts';
import { askToStay } from '../worker/register-worker.ts';
import { DeviceList } from './device-list.tsx';
import { SignIn } from './sign-in.tsx';

const BYTES_PER_MB = 1_000_000;

/** Who the phone works for, its room, the person's devices, and wiping it. */
export function PhonePage() {
  return (
    <>
      <h1>{say('phone')}</h1>
      <LanguageAndLight />
      {isShutOut.value ? <SignIn /> : <SignedIn />}
      <Room />
      <Wipe />
      <a href="/">{say('office-pages')}</a>
    </>
  );
}

function SignedIn() {
  const failure = useSignal(false);
  return (
    <section class="panel">
      <strong>{say('signed-in-as', { name: owner.value?.person.name ?? '' })}</strong>
      <span>{owner.value?.organisation.name}</span>
      <p class="small">{say('sign-out-hint')}</p>
      {failure.value ? <Notice kind="problem" title={say('devices-need-network')} /> : null}
      <Button
        onClick={() => {
          signOut().then(
            () => {
              isShutOut.value = true;
            },
            () => {
              failure.value = true;
            },
          );
        }}
      >
        {say('sign-out')}
      </Button>
      <h2>{say('devices')}</h2>
      <DeviceList />
    </section>
  );
}

function Room() {
  const room = useSignal<{ used: number; quota: number; stays: boolean } | null>(null);
  useEffect(() => {
    const look = async () => {
      if (!navigator.storage?.estimate) return;
      const { usage = 0, quota = 0 } = await navigator.storage.estimate();
      const stays = await askToStay();
      room.value = { used: usage / BYTES_PER_MB, quota: quota / BYTES_PER_MB, stays };
    };
    void look().catch(() => undefined);
  }, [room]);
  if (!room.value) return null;
  const { used, quota, stays } = room.value;
  return (
    <section class="panel">
      <h2>{say('room')}</h2>
      <span>
        {say('room-used', { used: formatNumber(used, 1), quota: formatNumber(quota, 0) })}
      </span>
      <p class="small">{say(stays ? 'room-stays' : 'room-may-go')}</p>
    </section>
  );
}

function Wipe() {
  const isAsked = useSignal(false);
  const count = items.value.filter(({ state }) => state !== 'sent').length + photos.value.length;
  return (
    <section class="panel">
      <h2>{say('wipe')}</h2>
      <p class="small">{say('wipe-hint')}</p>
      {isAsked.value ? <Notice kind="caution">{say('wipe-sure', { count })}</Notice> : null}
      <Button
        onClick={() => {
          if (isAsked.value) void wipe();
          isAsked.value = !isAsked.value;
        }}
      >
        {say('wipe')}
      </Button>
    </section>
  );
}
