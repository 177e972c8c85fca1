/**
 * True when two answers hold the same values under the same names, every number to the last digit.
 * Members that are undefined count as absent, since JSON does not carry them.
 */
export function sameNumbers(a: unknown, b: unknown): boolean {
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) {
    return Object.is(a, b) || (a === 0 && b === 0);
  }
  if (Array.isArray(a) !== Array.isArray(b)) return false;
  const [given, other] = [presentMembers(a), presentMembers(b)];
  if (given.length !== other.length) return false;
  const byName = new Map(other);
  return given.every(([name, value]) => byName.has(name) && sameNumbers(value, byName.get(name)));
}

const presentMembers = (value: object): [string, unknown][] =>
  Object.entries(value).filter(([, member]) => member !== undefined);
