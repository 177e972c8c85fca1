interface BackLinkProps {
  readonly href: string;
  readonly children: string;
}

/** The way back, with an arrow that needs no font. */
export function BackLink({ href, children }: BackLinkProps) {
  return (
    <a class="back" href={href}>
      <svg viewBox="0 0 20 20" width="20" height="20" aria-hidden="true">
        <path d="M17 10H3M9 4l-6 6 6 6" fill="none" stroke="currentColor" stroke-width="2" />
      </svg>
      {children}
    </a>
  );
}
