/** The name of the service beside its tank. */
export function Brand() {
  return (
    <a class="brand" href="/">
      <img src="/tank.svg" alt="" width="28" height="28" />
      <span>hoopwright</span>
    </a>
  );
}
