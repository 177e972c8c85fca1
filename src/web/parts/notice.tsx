import type { ComponentChildren } from 'preact';
import { Mark } from './mark.tsx';
import { say } from './say.ts';

interface NoticeProps {
  readonly kind: 'caution' | 'problem' | 'note';
  readonly title?: string | undefined;
  readonly children?: ComponentChildren;
}

/** Something to be read before going on; a problem is announced by screen readers at once. */
export function Notice({ kind, title, children }: NoticeProps) {
  const heading = title ?? (kind === 'note' ? undefined : say(kind));
  return (
    <div class="notice" data-kind={kind} role={kind === 'problem' ? 'alert' : undefined}>
      <Mark of={kind} />
      <div class="stack">
        {heading ? <strong>{heading}</strong> : null}
        {children}
      </div>
    </div>
  );
}
