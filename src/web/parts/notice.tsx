import type { ComponentChildren } from 'preact';
import { say } from './say.ts';

interface NoticeProps {
  readonly kind: 'caution' | 'problem' | 'note';
  readonly title?: string | undefined;
  readonly children?: ComponentChildren;
}

const MARKS = { caution: '△', problem: '✕', note: 'i' } as const;

/** Something to be read before going on; a problem is announced by screen readers at once. */
export function Notice({ kind, title, children }: NoticeProps) {
  return (
    <div class="notice" data-kind={kind} role={kind === 'problem' ? 'alert' : undefined}>
      <span class="mark" aria-hidden="true">
        {MARKS[kind]}
      </span>
      <strong>{title ?? (kind === 'note' ? '' : say(kind))}</strong>
      {children}
    </div>
  );
}
