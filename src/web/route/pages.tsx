import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { Failure } from '../parts/failure.tsx';
import { say } from '../parts/say.ts';

/** What a page gets: the values of its pattern's `:names`. */
export interface PageProps {
  readonly params: Readonly<Record<string, string>>;
}

/** One page: its address pattern, who may see it, and the module that holds it. */
export interface Page {
  readonly pattern: string;
  readonly permission: string | null;
  /** Resolves when the page's own sentences are here too. */
  readonly load: () => Promise<ComponentType<PageProps>>;
}

/** The values of a pattern's `:names` in a path; null when the path is another. */
export function matched(pattern: string, path: string): Readonly<Record<string, string>> | null {
  const wanted = pattern.split('/');
  const given = path.replace(/\/$/, '').split('/');
  if (wanted.length !== given.length) return null;
  const params: Record<string, string> = {};
  for (const [index, part] of wanted.entries()) {
    const value = given[index] ?? '';
    if (part.startsWith(':')) params[part.slice(1)] = decodeURIComponent(value);
    else if (part !== value) return null;
  }
  return params;
}

interface LoadedPageProps extends PageProps {
  readonly page: Page;
}

/** A page whose code arrives when it is first shown. */
export function LoadedPage({ page, params }: LoadedPageProps) {
  const [shown, setShown] = useState<{ page: Page; Content: ComponentType<PageProps> }>();
  const [error, setError] = useState<unknown>();
  useEffect(() => {
    let isWanted = true;
    setError(undefined);
    page.load().then(
      (Content) => isWanted && setShown({ page, Content }),
      (reason: unknown) => isWanted && setError(reason),
    );
    return () => {
      isWanted = false;
    };
  }, [page]);
  if (error !== undefined) return <Failure error={error} retry={() => location.reload()} />;
  if (shown?.page !== page) {
    return (
      <p class="waiting" role="status">
        {say('loading')}
      </p>
    );
  }
  return <shown.Content params={params} />;
}
