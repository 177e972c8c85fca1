import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef } from 'preact/hooks';
import { Button } from './button.tsx';
import { say } from './say.ts';

interface DialogProps {
  readonly title: string;
  readonly isOpen: boolean;
  readonly onClose: () => void;
  readonly children: ComponentChildren;
}

/** A modal dialog: the browser's own, which keeps the focus inside and closes with Escape. */
export function Dialog({ title, isOpen, onClose, children }: DialogProps) {
  const id = useId();
  const element = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    const dialog = element.current;
    if (isOpen && dialog && !dialog.open) dialog.showModal();
    if (!isOpen && dialog?.open) dialog.close();
  }, [isOpen]);
  return (
    <dialog ref={element} aria-labelledby={id} onClose={onClose}>
      {isOpen ? (
        <div class="stack">
          <div class="row" data-ends="apart">
            <h2 id={id}>{title}</h2>
            <Button kind="plain" onClick={onClose}>
              {say('close')}
            </Button>
          </div>
          {children}
        </div>
      ) : null}
    </dialog>
  );
}
