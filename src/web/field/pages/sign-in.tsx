import { useSignal } from '@preact/signals';
import { Refusal } from '../../api/refusal.ts';
import { LanguageAndLight } from '../../office/language-and-light.tsx';
import { Button } from '../../parts/button.tsx';
import { Failure } from '../../parts/failure.tsx';
import { Field } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { signIn, who } from '../../session/session.ts';
import { becomeOwner, owner } from '../kept/owner.ts';
import { exchange } from '../outbox/keep-sending.ts';
import { say } from '../say.ts';

interface Choice {
  readonly id: string;
  readonly name: string;
}

const choicesIn = (error: unknown): readonly Choice[] =>
  error instanceof Refusal && error.code === 'conflict'
    ? ((error.problem as { organisations?: readonly Choice[] }).organisations ?? [])
    : [];

/** Signing in on the phone, with a name by which a lost phone can be shut out. */
export function SignIn() {
  const email = useSignal(owner.value?.person.email ?? '');
  const password = useSignal('');
  const device = useSignal(owner.value?.session?.deviceName ?? '');
  const organisationId = useSignal('');
  const choices = useSignal<readonly Choice[]>([]);
  const failure = useSignal<unknown>(undefined);
  const isSending = useSignal(false);

  const submit = async () => {
    isSending.value = true;
    failure.value = undefined;
    try {
      await signIn({
        email: email.value,
        password: password.value,
        deviceName: device.value.trim(),
        ...(organisationId.value ? { organisationId: organisationId.value } : {}),
      });
      if (who.value) await becomeOwner(who.value);
      void exchange().catch(() => undefined);
    } catch (error) {
      choices.value = choicesIn(error);
      if (choices.value.length > 0) organisationId.value = choices.value[0]?.id ?? '';
      else failure.value = error;
    } finally {
      isSending.value = false;
    }
  };

  return (
    <form
      class="panel field-form"
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <h1>{say('field')}</h1>
      <LanguageAndLight />
      {owner.value === null ? <p>{say('sign-in-first')}</p> : null}
      {failure.value === undefined ? null : <SignInFailure error={failure.value} />}
      <Field label={say('email')}>
        <input
          type="email"
          autocomplete="username"
          required
          value={email.value}
          onInput={(event: Event) => {
            email.value = (event.currentTarget as HTMLInputElement).value;
          }}
        />
      </Field>
      <Field label={say('password')}>
        <input
          type="password"
          autocomplete="current-password"
          required
          value={password.value}
          onInput={(event: Event) => {
            password.value = (event.currentTarget as HTMLInputElement).value;
          }}
        />
      </Field>
      <Field label={say('device-name')} hint={say('device-hint')}>
        <input
          maxLength={80}
          value={device.value}
          onInput={(event: Event) => {
            device.value = (event.currentTarget as HTMLInputElement).value;
          }}
        />
      </Field>
      {choices.value.length > 0 ? (
        <Field label={say('organisation')} hint={say('belongs-to-several')}>
          <select
            value={organisationId.value}
            onChange={(event: Event) => {
              organisationId.value = (event.currentTarget as HTMLSelectElement).value;
            }}
          >
            {choices.value.map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        </Field>
      ) : null}
      <Button kind="main" type="submit" disabled={isSending.value}>
        {say('sign-in')}
      </Button>
    </form>
  );
}

function SignInFailure({ error }: { readonly error: unknown }) {
  if (error instanceof Refusal && error.code === 'wrong-credentials') {
    return <Notice kind="problem" title={say('wrong-credentials')} />;
  }
  return <Failure error={error} />;
}
