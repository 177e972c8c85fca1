import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { TankCheck } from '../../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import { post } from '../api/client.ts';
import { Mark } from '../parts/mark.tsx';
import { Notice } from '../parts/notice.tsx';
import { sameNumbers } from './same-numbers.ts';
import { say } from './say.ts';

/** How long the sliders must rest before the service is asked. */
const REST_MS = 500;

type Standing = 'asking' | 'same' | 'other' | 'not-asked';

interface SameAnswerProps {
  readonly input: TankDesignInput;
  readonly check: TankCheck;
}

/** Asks the service for the same design and says whether every number is the same. */
export function SameAnswer({ input, check }: SameAnswerProps) {
  const standing = useSignal<Standing>('asking');
  useEffect(() => {
    const controller = new AbortController();
    standing.value = 'asking';
    const timer = setTimeout(() => {
      const { signal } = controller;
      post<TankCheck>('/calculations/tank-check', input, { signal }).then(
        ({ body }) => {
          standing.value = sameNumbers(body, check) ? 'same' : 'other';
        },
        () => {
          if (!signal.aborted) standing.value = 'not-asked';
        },
      );
    }, REST_MS);
    return () => {
      clearTimeout(timer);
      controller.abort();
    };
  }, [input, check, standing]);
  if (standing.value === 'other') return <Notice kind="problem" title={say('other-answer')} />;
  return (
    <p class="row small no-print" role="status">
      <Mark of={standing.value === 'same' ? 'pass' : 'note'} />
      {standing.value === 'same' ? say('same-answer') : null}
      {standing.value === 'asking' ? say('asking-service') : null}
      {standing.value === 'not-asked' ? say('not-asked') : null}
    </p>
  );
}
