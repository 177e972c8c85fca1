import type { FastifyInstance } from 'fastify';

const PLAIN_NAME = 'hoopwright_session';

/** Seconds after which a session ends even when it is used. */
export const SESSION_LIFE_S = 7 * 24 * 60 * 60;

export interface SessionCookie {
  readonly name: string;
  /** The Set-Cookie header that hands out this token. */
  issue(token: string): string;
  /** The Set-Cookie header that takes the cookie back. */
  readonly withdraw: string;
}

/**
 * The cookie of browser sessions. Its `__Host-` prefix keeps other hosts of the domain from setting
 * it, but needs HTTPS; on plain HTTP, which is for loopback only, it goes without.
 */
export function sessionCookie(
  app: FastifyInstance,
  { isSecure }: { isSecure: boolean },
): SessionCookie {
  const name = isSecure ? `__Host-${PLAIN_NAME}` : PLAIN_NAME;
  const options = { path: '/', httpOnly: true, sameSite: 'lax', secure: isSecure } as const;
  return {
    name,
    issue: (token) => app.serializeCookie(name, token, { ...options, maxAge: SESSION_LIFE_S }),
    withdraw: app.serializeCookie(name, '', { ...options, maxAge: 0 }),
  };
}
