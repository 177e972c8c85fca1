import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { Failure } from '../parts/failure.tsx';
import { Notice } from '../parts/notice.tsx';
import { say as sayPart } from '../parts/say.ts';
import { go, path, query } from '../route/address.ts';
import { LoadedPage, matched } from '../route/pages.tsx';
import { may, who } from '../session/session.ts';
import { Masthead } from './masthead.tsx';
import { PAGES } from './page-list.ts';
import { say } from './say.ts';
import { SignInPage } from './sign-in-page.tsx';

/** Paths that the office pages answer; others are left to the service. */
export const isOfficePath = (candidate: string): boolean =>
  candidate === '/' ||
  candidate === '/sign-in' ||
  PAGES.some(({ pattern }) => matched(pattern, candidate) !== null);

/** The first page that the person's roles have a use for. */
export const firstPath = (): string | undefined =>
  PAGES.find(({ pattern, permission }) => !pattern.includes(':') && mayOpen(permission))?.pattern;

const mayOpen = (permission: string | null) => permission === null || may(permission);

/** The office: masthead and the page of the present address. */
export function Office({ session }: { readonly session: Promise<void> }) {
  const failure = useSignal<unknown>(undefined);
  useEffect(() => {
    session.catch((error: unknown) => {
      failure.value = error;
    });
  }, [session, failure]);
  if (failure.value !== undefined) {
    return (
      <main class="sheet">
        <Failure error={failure.value} retry={() => location.reload()} />
      </main>
    );
  }
  if (who.value === undefined) {
    return (
      <p class="sheet waiting" role="status">
        {sayPart('loading')}
      </p>
    );
  }
  if (who.value === null) return <SignInPage />;
  return (
    <>
      <Masthead />
      <main class="sheet" id="content" tabIndex={-1}>
        <PresentPage />
      </main>
    </>
  );
}

function PresentPage() {
  const here = path.value;
  const isStart = here === '/' || here === '/sign-in';
  const first = firstPath();
  const then = query.value.get('then');
  useEffect(() => {
    if (!isStart) return;
    // Only a path of ours: an address from outside must not send people elsewhere.
    if (then && /^\/[^/\\]/.test(then) && !isOfficePath(then)) location.assign(then);
    else if (first) go(then && isOfficePath(then) ? then : first, { replaces: true });
  }, [isStart, first, then]);
  if (isStart) return first ? null : <Notice kind="note" title={say('no-pages')} />;
  for (const page of PAGES) {
    const params = matched(page.pattern, here);
    if (!params) continue;
    if (!mayOpen(page.permission)) {
      return (
        <Notice kind="note" title={sayPart('no-right')}>
          <p>{sayPart('no-right-detail')}</p>
        </Notice>
      );
    }
    return <LoadedPage key={page.pattern} page={page} params={params} />;
  }
  return (
    <Notice kind="note" title={say('no-page')}>
      <a href="/">{say('to-start')}</a>
    </Notice>
  );
}
