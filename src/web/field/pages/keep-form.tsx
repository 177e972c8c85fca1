import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useRef } from 'preact/hooks';
import { Button } from '../../parts/button.tsx';
import { Field } from '../../parts/field.tsx';
import { Mark } from '../../parts/mark.tsx';
import { Notice } from '../../parts/notice.tsx';
import { may } from '../../session/session.ts';
import { today } from '../../session/today.ts';
import { exchange } from '../outbox/keep-sending.ts';
import { keep, type NewPhoto, NoRoom } from '../outbox/outbox.ts';
import type { NewItem } from '../outbox/outbox-item.ts';
import { smallPhoto } from '../photo.ts';
import { say } from '../say.ts';

export interface Common {
  readonly observedOn: string;
  readonly note: string;
}

interface KeepFormProps {
  readonly submit: string;
  /** What kind of record photos of this form hang on; none when it takes no photos. */
  readonly photosOf?: NewPhoto['noun'];
  readonly hasNote?: boolean;
  /** The records of the form as it is filled in. */
  readonly make: (common: Common) => readonly NewItem[];
  readonly onKept?: () => void;
  readonly children?: ComponentChildren;
}

/** A form whose records are kept on the phone at once, whole or not at all, and sent when possible. */
export function KeepForm({
  submit,
  photosOf,
  hasNote = true,
  make,
  onKept,
  children,
}: KeepFormProps) {
  const observedOn = useSignal(today());
  const note = useSignal('');
  const files = useRef<HTMLInputElement>(null);
  const isKeeping = useSignal(false);
  const isKept = useSignal(false);
  const problem = useSignal<string | null>(null);
  const photoCount = useSignal(0);

  const keepAll = async () => {
    isKeeping.value = true;
    isKept.value = false;
    problem.value = null;
    try {
      const pictures = photosOf ? await photosIn(files.current, photosOf, note.value) : [];
      await keep(make({ observedOn: observedOn.value, note: note.value.trim() }), pictures);
      note.value = '';
      photoCount.value = 0;
      if (files.current) files.current.value = '';
      isKept.value = true;
      onKept?.();
      void exchange().catch(() => undefined);
    } catch (error) {
      if (error instanceof NoRoom) problem.value = say('no-room');
      else if (error instanceof BadPhoto) problem.value = say('bad-photo');
      else problem.value = say('not-kept-error', { reason: String(error) });
    } finally {
      isKeeping.value = false;
    }
  };

  return (
    <form
      class="field-form"
      onSubmit={(event) => {
        event.preventDefault();
        if (!isKeeping.value) void keepAll();
      }}
    >
      {children}
      <Field label={say('seen-on')}>
        <input
          type="date"
          required
          max={today()}
          value={observedOn.value}
          onInput={(event: Event) => {
            observedOn.value = (event.currentTarget as HTMLInputElement).value;
          }}
        />
      </Field>
      {hasNote ? (
        <Field label={say('note')}>
          <textarea
            maxLength={2_000}
            rows={2}
            value={note.value}
            onInput={(event: Event) => {
              note.value = (event.currentTarget as HTMLTextAreaElement).value;
            }}
          />
        </Field>
      ) : null}
      {photosOf && may('attachments:write') ? (
        <Field
          label={say('photo')}
          hint={
            photoCount.value > 0
              ? say('photo-count', { count: photoCount.value })
              : say('photo-hint')
          }
        >
          <input
            ref={files}
            type="file"
            accept="image/*"
            multiple
            onChange={() => {
              photoCount.value = files.current?.files?.length ?? 0;
            }}
          />
        </Field>
      ) : null}
      {problem.value ? <Notice kind="problem">{problem.value}</Notice> : null}
      {isKept.value ? (
        <p class="row" role="status">
          <Mark of="pass" />
          <strong>{say('kept')}</strong>
        </p>
      ) : null}
      <Button kind="main" type="submit" disabled={isKeeping.value}>
        {isKeeping.value ? say('keeping') : submit}
      </Button>
    </form>
  );
}

class BadPhoto extends Error {}

async function photosIn(
  input: HTMLInputElement | null,
  noun: NewPhoto['noun'],
  note: string,
): Promise<NewPhoto[]> {
  const photos: NewPhoto[] = [];
  for (const file of input?.files ?? []) {
    const blob = await smallPhoto(file).catch((cause: unknown) => {
      throw new BadPhoto('no picture', { cause });
    });
    photos.push({ blob, noun, caption: note.trim().slice(0, 500) });
  }
  return photos;
}
