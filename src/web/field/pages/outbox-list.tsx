import { useSignal } from '@preact/signals';
import { formatDate, formatInstant } from '../../language/format.ts';
import { Button } from '../../parts/button.tsx';
import { Mark } from '../../parts/mark.tsx';
import { Notice } from '../../parts/notice.tsx';
import { timeZone } from '../../session/session.ts';
import { owner } from '../kept/owner.ts';
import { exchange } from '../outbox/keep-sending.ts';
import { discard, discardPhoto, photos, tryAgain, tryPhotoAgain } from '../outbox/outbox.ts';
import type { ItemState, OutboxItem, Refused, WaitingPhoto } from '../outbox/outbox-item.ts';
import { say } from '../say.ts';

const SIGNS = { waiting: 'note', sent: 'pass', refused: 'problem' } as const;
const TONES: Readonly<Record<ItemState, string>> = {
  waiting: 'soft',
  sent: 'strong',
  refused: 'fail',
};

/** Records of this phone, the newest first: what waits, what was sent, what was refused and why. */
export function OutboxList({ items }: { readonly items: readonly OutboxItem[] }) {
  return (
    <ul class="field-list">
      {items.toReversed().map((item) => (
        <Item key={item.position} item={item} />
      ))}
    </ul>
  );
}

function Item({ item }: { readonly item: OutboxItem }) {
  const { title, state, observedOn, madeAt, sentAt, problem, personId, personName } = item;
  const key = `item-${title.kind}`;
  const pictures = photos.value.filter(({ recordId }) => recordId === item.recordId);
  const instant = (at: string) => formatInstant(at, timeZone.value);
  return (
    <li class="panel" data-state={state}>
      <div class="row" data-ends="apart">
        <strong>
          {say.has(key) ? say(key) : title.kind} · {title.at}
        </strong>
        <span class="state" data-tone={TONES[state]}>
          <Mark of={SIGNS[state]} /> {say(`state-${state}`)}
        </span>
      </div>
      <span lang="en">
        {title.of}
        {title.value ? `: ${title.value}` : ''}
      </span>
      <span class="small soft">
        {formatDate(observedOn)} · {say('made-at', { date: instant(madeAt) })}
        {sentAt ? ` · ${say('sent-at', { date: instant(sentAt) })}` : ''}
      </span>
      {pictures.length > 0 ? (
        <span class="small">{say('photo-count', { count: pictures.length })}</span>
      ) : null}
      {state !== 'sent' && personId !== owner.value?.person.id ? (
        <span class="small">{say('by-person', { name: personName })}</span>
      ) : null}
      {problem ? (
        <WhatNext problem={problem} again={() => tryAgain(item)} remove={() => discard(item)} />
      ) : null}
      {pictures.map((photo) => (
        <RefusedPhoto key={photo.id} photo={photo} />
      ))}
    </li>
  );
}

function RefusedPhoto({ photo }: { readonly photo: WaitingPhoto }) {
  if (!photo.problem) return null;
  return (
    <>
      <strong>{say('photo-refused')}</strong>
      <WhatNext
        problem={photo.problem}
        again={() => tryPhotoAgain(photo)}
        remove={() => discardPhoto(photo)}
      />
    </>
  );
}

interface WhatNextProps {
  readonly problem: Refused;
  readonly again: () => Promise<void>;
  readonly remove: () => Promise<void>;
}

/** Why the service said no, and what the person may do about it. */
function WhatNext({ problem, again, remove }: WhatNextProps) {
  const isAsked = useSignal(false);
  return (
    <>
      <Notice kind="problem" title={problem.title || problem.code}>
        {problem.detail ? <p lang="en">{problem.detail}</p> : null}
        {problem.errors.length > 0 ? (
          <ul lang="en">
            {problem.errors.map(({ pointer, message }) => (
              <li key={pointer}>
                {pointer} {message}
              </li>
            ))}
          </ul>
        ) : null}
        <p class="small">{say('refused-help')}</p>
      </Notice>
      <div class="two">
        <Button
          onClick={() => {
            void again().then(exchange);
          }}
        >
          {say('try-again')}
        </Button>
        <Button
          onClick={() => {
            if (isAsked.value) void remove();
            isAsked.value = true;
          }}
        >
          {say('discard')}
        </Button>
      </div>
      {isAsked.value ? <Notice kind="caution">{say('discard-sure')}</Notice> : null}
    </>
  );
}
