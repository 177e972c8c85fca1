import { type Signal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';

/** What a page knows of something that it asked the service for. */
export type Loaded<Value> =
  | { readonly state: 'loading' }
  | { readonly state: 'ready'; readonly value: Value }
  | { readonly state: 'failed'; readonly error: unknown; readonly retry: () => void };

/**
 * Asks when the component appears and whenever `key` changes; answers of an earlier key are dropped.
 *
 * @param load gets a signal that aborts when its answer is no longer wanted
 */
export function useLoaded<Value>(
  key: string,
  load: (signal: AbortSignal) => Promise<Value>,
): Signal<Loaded<Value>> {
  const loaded = useSignal<Loaded<Value>>({ state: 'loading' });
  const attempt = useSignal(0);
  const count = attempt.value;
  useEffect(() => {
    const controller = new AbortController();
    if (count >= 0) loaded.value = { state: 'loading' };
    load(controller.signal).then(
      (value) => {
        if (!controller.signal.aborted) loaded.value = { state: 'ready', value };
      },
      (error: unknown) => {
        if (controller.signal.aborted) return;
        const retry = () => {
          attempt.value += 1;
        };
        loaded.value = { state: 'failed', error, retry };
      },
    );
    return () => controller.abort();
  }, [key, count]);
  return loaded;
}
