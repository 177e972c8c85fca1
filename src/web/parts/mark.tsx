interface MarkProps {
  readonly of: 'caution' | 'problem' | 'note' | 'pass';
}

const SHAPES = {
  caution: 'M10 2 19 18H1zM10 8v5M10 15.200v.6',
  problem: 'M2 2h16v16H2zM6 6l8 8M14 6l-8 8',
  note: 'M10 1a9 9 0 1 0 .01 0M10 9v6M10 5.500v.6',
  pass: 'M10 1a9 9 0 1 0 .01 0M5.500 10.500l3 3 6-6.500',
} as const;

/** A sign whose shape alone tells what kind of message follows. */
export function Mark({ of }: MarkProps) {
  return (
    <svg class="mark" viewBox="0 0 20 20" width="20" height="20" aria-hidden="true">
      <path d={SHAPES[of]} fill="none" stroke="currentColor" stroke-width="2" />
    </svg>
  );
}
