/** Addresses whose middle is a secret. */
const SECRET_ADDRESS = /^(\/v1\/calendar-feeds\/)[^/]+(?=\/calendar\.ics$)/;

/** What the log keeps of a request: no query, which may hold what a person typed, and no secret. */
export const loggedRequest = ({ method, url }: { method: string; url: string }) => ({
  method,
  path: url.split('?')[0]?.replace(SECRET_ADDRESS, '$1...'),
});
