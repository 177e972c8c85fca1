import { type Signal, useSignal } from '@preact/signals';
import type { RefObject } from 'preact';
import { useEffect } from 'preact/hooks';

/** How far outside the window something is made ready. */
const MARGIN = '600px 0px';

const watched = new WeakMap<Element, Signal<boolean>>();

/** One observer for all: thousands of rows cost one callback. */
const observer = new IntersectionObserver(
  (entries) => {
    for (const { target, isIntersecting } of entries) {
      const near = watched.get(target);
      if (near) near.value = isIntersecting;
    }
  },
  { rootMargin: MARGIN },
);

/** True while the element is in the window or near it, and for all elements while printing. */
export function useNear(element: RefObject<Element | null>): boolean {
  const near = useSignal(false);
  const isPrinting = useSignal(false);
  useEffect(() => {
    const present = element.current;
    if (!present) return;
    const begin = () => {
      isPrinting.value = true;
    };
    const end = () => {
      isPrinting.value = false;
    };
    watched.set(present, near);
    observer.observe(present);
    addEventListener('beforeprint', begin);
    addEventListener('afterprint', end);
    return () => {
      observer.unobserve(present);
      removeEventListener('beforeprint', begin);
      removeEventListener('afterprint', end);
    };
  }, [element, near, isPrinting]);
  return near.value || isPrinting.value;
}
