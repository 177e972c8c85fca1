import type { ReadonlySignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import type { Loaded } from '../api/loaded.ts';
import { Failure } from './failure.tsx';
import { say } from './say.ts';

interface ShownProps<Value> {
  readonly of: ReadonlySignal<Loaded<Value>>;
  /** What is waited for, where "loading" alone would not say it. */
  readonly waiting?: string;
  readonly children: (value: Value) => ComponentChildren;
}

/** Shows what was asked for once it is there; until then that it loads, or why it failed. */
export function Shown<Value>({ of, waiting, children }: ShownProps<Value>) {
  const loaded = of.value;
  if (loaded.state === 'ready') return <>{children(loaded.value)}</>;
  if (loaded.state === 'failed') return <Failure error={loaded.error} retry={loaded.retry} />;
  return (
    <p class="waiting" role="status">
      {waiting ?? say('loading')}
    </p>
  );
}
