import { type ComponentChildren, cloneElement, type VNode } from 'preact';
import { useId } from 'preact/hooks';

interface FieldProps {
  readonly label: string;
  readonly hint?: string | undefined;
  /** What is wrong with the value; the control is marked and points here. */
  readonly error?: string | undefined;
  /** One input, select or textarea. */
  readonly children: VNode<Record<string, unknown>>;
  readonly after?: ComponentChildren;
}

/** A labelled control with its hint and what is wrong with it, tied together for screen readers. */
export function Field({ label, hint, error, children, after }: FieldProps) {
  const id = useId();
  const notes = [hint ? `${id}-hint` : '', error ? `${id}-said` : ''].filter(Boolean).join(' ');
  const control = cloneElement(children, {
    id,
    ...(notes ? { 'aria-describedby': notes } : {}),
    ...(error ? { 'aria-invalid': 'true' } : {}),
  });
  return (
    <div class="field">
      <label for={id}>{label}</label>
      {control}
      {after}
      {hint ? (
        <span class="hint" id={`${id}-hint`}>
          {hint}
        </span>
      ) : null}
      {error ? (
        <span class="said" id={`${id}-said`}>
          {error}
        </span>
      ) : null}
    </div>
  );
}
