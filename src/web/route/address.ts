import { computed, signal } from '@preact/signals';

const here = signal(new URL(location.href));

addEventListener('popstate', () => {
  here.value = new URL(location.href);
});

/** The path of the present page. */
export const path = computed(() => here.value.pathname);

/** The query of the present page. */
export const query = computed(() => here.value.searchParams);

/** Goes to a page of ours without loading the document anew. */
export function go(address: string, { replaces = false } = {}): void {
  const next = new URL(address, location.href);
  const isNewPage = next.pathname !== here.peek().pathname;
  if (replaces) history.replaceState(null, '', next);
  else history.pushState(null, '', next);
  here.value = next;
  if (isNewPage && !replaces) scrollTo(0, 0);
}

/** Changes values of the query in place; null takes one away. */
export function setQuery(values: Readonly<Record<string, string | null>>): void {
  const next = new URL(here.peek());
  for (const [name, value] of Object.entries(values)) {
    if (value === null || value === '') next.searchParams.delete(name);
    else next.searchParams.set(name, value);
  }
  go(next.href, { replaces: true });
}

/** Lets plain links between our pages change the page in place. Paths under `isOurs` are ours. */
export function followLinks(isOurs: (path: string) => boolean): void {
  document.addEventListener('click', (event) => {
    if (event.defaultPrevented || event.button !== 0) return;
    if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
    const link = (event.target as Element | null)?.closest('a');
    if (!link || link.target || link.hasAttribute('download')) return;
    const address = new URL(link.href);
    if (address.origin !== location.origin || !isOurs(address.pathname)) return;
    if (address.hash && address.pathname === location.pathname) return;
    event.preventDefault();
    go(address.href);
  });
}
