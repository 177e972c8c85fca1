import { Refusal, Unreachable } from '../api/refusal.ts';
import { Button } from './button.tsx';
import { Notice } from './notice.tsx';
import { say } from './say.ts';

interface FailureProps {
  readonly error: unknown;
  readonly retry?: (() => void) | undefined;
}

/** Why something did not work: no network, no right, not found, or what the service refused. */
export function Failure({ error, retry }: FailureProps) {
  const again = retry ? <Button onClick={retry}>{say('retry')}</Button> : null;
  if (error instanceof Refusal) {
    if (error.code === 'forbidden') {
      return (
        <Notice kind="note" title={say('no-right')}>
          <p>{say('no-right-detail')}</p>
          <p class="small">{error.problem.detail}</p>
        </Notice>
      );
    }
    if (error.code === 'not-found') {
      return (
        <Notice kind="note" title={say('not-found')}>
          <p>{say('not-found-detail')}</p>
        </Notice>
      );
    }
    return (
      <Notice kind="problem" title={error.problem.title}>
        <p>{error.problem.detail}</p>
        <FieldErrors error={error} />
        <p class="small">{say('request-id', { id: error.problem.requestId })}</p>
        {error.problem.retryable ? again : null}
      </Notice>
    );
  }
  return (
    <Notice kind="problem">
      <p>{error instanceof Unreachable ? say('unreachable') : String(error)}</p>
      {again}
    </Notice>
  );
}

function FieldErrors({ error }: { readonly error: Refusal }) {
  const errors = error.problem.errors ?? [];
  if (errors.length === 0) return null;
  return (
    <ul>
      {errors.slice(0, 20).map(({ pointer, message }) => (
        <li key={pointer}>
          {say('wrong-field', { field: pointer.slice(1).replaceAll('/', ' › '), message })}
        </li>
      ))}
    </ul>
  );
}
