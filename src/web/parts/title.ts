import { useEffect } from 'preact/hooks';

/** Names the document after the page, for tabs, history and screen readers. */
export function useTitle(title: string): void {
  useEffect(() => {
    document.title = `${title} · hoopwright`;
  }, [title]);
}
