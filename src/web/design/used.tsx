import type { ComponentChildren } from 'preact';

interface UsedProps {
  readonly ratio: number;
  readonly children: ComponentChildren;
}

/** How much of a limit is used: a bar to the limit, beyond it hatched, with the number beside. */
export function Used({ ratio, children }: UsedProps) {
  return (
    <span class="used">
      <svg viewBox="0 0 120 10" width="96" height="10" aria-hidden="true">
        <rect class="used-frame" x="0.5" y="0.5" width="99" height="9" />
        <rect class="used-bar" x="0.5" y="2" width={99 * Math.min(ratio, 1)} height="6" />
        {ratio > 1 ? <path class="used-over" d="M101 9l5-8M106 9l5-8M111 9l5-8" /> : null}
      </svg>
      <span class="number">{children}</span>
    </span>
  );
}
