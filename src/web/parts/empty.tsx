import type { ComponentChildren } from 'preact';

/** Says that there is nothing yet, and what to do about it. */
export function Empty({ title, children }: { title: string; children?: ComponentChildren }) {
  return (
    <div class="empty">
      <strong>{title}</strong>
      {children}
    </div>
  );
}
