import { formatDate } from '../language/format.ts';
import { who } from '../session/session.ts';

/** The phone's pages: so far who is signed in, and a way to the office pages. */
export function FieldPages() {
  const person = who.value?.person;
  return (
    <main class="sheet">
      <h1>Field</h1>
      {person ? <p>{person.name}</p> : <a href="/sign-in?then=/field">Sign in</a>}
      {who.value?.session ? <p>{formatDate(who.value.session.expiresAt.slice(0, 10))}</p> : null}
    </main>
  );
}
