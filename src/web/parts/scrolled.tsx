import type { ComponentChildren } from 'preact';

interface ScrolledProps {
  readonly label: string;
  readonly children: ComponentChildren;
}

/** Something wider than a phone that scrolls by itself, by finger and by keyboard. */
export function Scrolled({ label, children }: ScrolledProps) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard
    <section class="wide" tabIndex={0} aria-label={label}>
      {children}
    </section>
  );
}
