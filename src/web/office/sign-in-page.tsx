import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { Refusal } from '../api/refusal.ts';
import { Button } from '../parts/button.tsx';
import { Failure } from '../parts/failure.tsx';
import { Field } from '../parts/field.tsx';
import { Notice } from '../parts/notice.tsx';
import { signIn } from '../session/session.ts';
import { Brand } from './brand.tsx';
import { LanguageAndLight } from './language-and-light.tsx';
import { say } from './say.ts';

interface Organisation {
  readonly id: string;
  readonly name: string;
}

/** The organisations to choose from, when the answer asks for a choice. */
const organisationsIn = (error: unknown): readonly Organisation[] =>
  error instanceof Refusal && Array.isArray(error.problem.organisations)
    ? (error.problem.organisations as Organisation[])
    : [];

/** Signing in with e-mail and password; who belongs to several organisations chooses one. */
export function SignInPage() {
  const email = useSignal('');
  const password = useSignal('');
  const organisationId = useSignal('');
  const failure = useSignal<unknown>(undefined);
  const isSending = useSignal(false);
  const organisations = useSignal<readonly Organisation[]>([]);
  useEffect(() => {
    document.title = `${say('sign-in')} · hoopwright`;
  });

  const submit = async () => {
    isSending.value = true;
    failure.value = undefined;
    try {
      await signIn({
        email: email.value,
        password: password.value,
        ...(organisationId.value ? { organisationId: organisationId.value } : {}),
      });
    } catch (error) {
      const choices = organisationsIn(error);
      if (choices.length > 0) {
        organisations.value = choices;
        organisationId.value = choices[0]?.id ?? '';
      } else failure.value = error;
    } finally {
      isSending.value = false;
    }
  };

  return (
    <main class="sheet sign-in">
      <div class="row" data-ends="apart">
        <Brand />
        <LanguageAndLight />
      </div>
      <p>{say('what-it-is')}</p>
      <form
        class="panel"
        onSubmit={(event) => {
          event.preventDefault();
          void submit();
        }}
      >
        <h1>{say('sign-in')}</h1>
        {failure.value === undefined ? null : <SignInFailure error={failure.value} />}
        <Field label={say('email')}>
          <input
            type="email"
            name="email"
            autocomplete="username"
            required
            value={email}
            onInput={(event) => {
              email.value = event.currentTarget.value;
            }}
          />
        </Field>
        <Field label={say('password')}>
          <input
            type="password"
            name="password"
            autocomplete="current-password"
            required
            value={password}
            onInput={(event) => {
              password.value = event.currentTarget.value;
            }}
          />
        </Field>
        {organisations.value.length > 0 ? (
          <Field label={say('organisation')} hint={say('choose-organisation')}>
            <select
              value={organisationId}
              onChange={(event) => {
                organisationId.value = event.currentTarget.value;
              }}
            >
              {organisations.value.map(({ id, name }) => (
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
      <Notice kind="caution">
        <p>{say('standing-caution')}</p>
      </Notice>
      <p class="row small">
        <a href="/about">{say('about')}</a>
        <a href="/docs">{say('reference')}</a>
      </p>
    </main>
  );
}

function SignInFailure({ error }: { readonly error: unknown }) {
  if (error instanceof Refusal && error.code === 'wrong-credentials') {
    return <Notice kind="problem" title={say('wrong-credentials')} />;
  }
  return <Failure error={error} />;
}
