import type { ComponentChildren, MouseEventHandler } from 'preact';

interface ButtonProps {
  readonly kind?: 'main' | 'plain' | 'usual';
  readonly type?: 'button' | 'submit';
  readonly disabled?: boolean;
  readonly onClick?: MouseEventHandler<HTMLButtonElement>;
  readonly children: ComponentChildren;
  readonly expanded?: boolean | undefined;
  readonly controls?: string | undefined;
  readonly pressed?: boolean | undefined;
}

/** A button, large enough for a thumb. */
export function Button(props: ButtonProps) {
  const { kind = 'usual', type = 'button', disabled = false, children } = props;
  return (
    <button
      class="button"
      type={type}
      data-kind={kind}
      disabled={disabled}
      onClick={props.onClick}
      aria-expanded={props.expanded}
      aria-controls={props.controls}
      aria-pressed={props.pressed}
    >
      {children}
    </button>
  );
}
