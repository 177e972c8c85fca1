import { useSignal } from '@preact/signals';
import { useRef } from 'preact/hooks';
import type { Attachment } from '../../../shared/contract/attachment.ts';
import { post, readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { addressOf } from '../api/request.ts';
import { formatDate } from '../language/format.ts';
import { Button } from '../parts/button.tsx';
import { Failure } from '../parts/failure.tsx';
import { Field } from '../parts/field.tsx';
import { Shown } from '../parts/shown.tsx';
import { may } from '../session/session.ts';
import { say } from './say.ts';

/** The photos of a build, and adding one. */
export function Photos({ buildId }: { readonly buildId: string }) {
  const addedCount = useSignal(0);
  const query = { noun: 'build', recordId: buildId };
  const photos = useLoaded(`${buildId} ${addedCount.value}`, (signal) =>
    readAll('/attachments', { query, signal }),
  );
  if (!may('attachments:read')) return null;
  return (
    <section class="panel">
      <h2>{say('photos')}</h2>
      <Shown of={photos}>
        {(all) =>
          all.length === 0 ? (
            <p class="soft">{say('no-photos')}</p>
          ) : (
            <ul class="photos">
              {all.map((photo) => (
                <Photo key={photo.id} photo={photo} />
              ))}
            </ul>
          )
        }
      </Shown>
      {may('attachments:write') ? (
        <AddPhoto
          buildId={buildId}
          onAdded={() => {
            addedCount.value += 1;
          }}
        />
      ) : null}
    </section>
  );
}

function Photo({ photo: { id, caption, takenOn } }: { readonly photo: Attachment }) {
  return (
    <li>
      <figure>
        <img
          src={addressOf(`/attachments/${id}/content`)}
          alt={caption ? say('photo-alt', { caption }) : say('photo-alt-none')}
          loading="lazy"
        />
        <figcaption class="small">
          {caption} {takenOn ? formatDate(takenOn) : ''}
        </figcaption>
      </figure>
    </li>
  );
}

interface AddPhotoProps {
  readonly buildId: string;
  readonly onAdded: () => void;
}

function AddPhoto({ buildId, onAdded }: AddPhotoProps) {
  const file = useRef<HTMLInputElement>(null);
  const caption = useSignal('');
  const isSending = useSignal(false);
  const failure = useSignal<unknown>(undefined);
  const send = async () => {
    const picture = file.current?.files?.[0];
    if (!picture) return;
    isSending.value = true;
    failure.value = undefined;
    try {
      await post('/attachments', picture, {
        query: {
          noun: 'build',
          recordId: buildId,
          fileName: picture.name.slice(-300),
          caption: caption.value,
        },
      });
      caption.value = '';
      if (file.current) file.current.value = '';
      onAdded();
    } catch (error) {
      failure.value = error;
    } finally {
      isSending.value = false;
    }
  };
  return (
    <form
      class="stack no-print"
      onSubmit={(event) => {
        event.preventDefault();
        void send();
      }}
    >
      <Field label={say('add-photo')} hint={say('photo-hint')}>
        <input ref={file} type="file" accept="image/jpeg,image/png,image/webp" required />
      </Field>
      <Field label={say('caption')}>
        <input
          maxLength={500}
          value={caption}
          onInput={(event) => {
            caption.value = event.currentTarget.value;
          }}
        />
      </Field>
      {failure.value === undefined ? null : <Failure error={failure.value} />}
      <Button type="submit" disabled={isSending.value}>
        {say(isSending.value ? 'sending' : 'keep-photo')}
      </Button>
    </form>
  );
}
