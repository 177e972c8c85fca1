/** Lets the pages open without a network from the next visit on. */
export async function registerWorker(): Promise<void> {
  if (!('serviceWorker' in navigator)) return;
  await navigator.serviceWorker.register('/field-worker.js', { scope: '/field' });
}

/** Asks the browser not to throw the phone's records away when it runs short of room. */
export async function askToStay(): Promise<boolean> {
  if (!navigator.storage?.persist) return false;
  return (await navigator.storage.persisted()) || navigator.storage.persist();
}
