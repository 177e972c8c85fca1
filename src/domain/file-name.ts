const MAX_LENGTH = 120;

/**
 * A file name that somebody sent, made harmless to show and to download: no folders, no control or
 * direction characters, none that a file system reserves. It never names a file on this machine.
 */
export function harmlessFileName(given: string, fallback: string): string {
  const lastPart = given.normalize('NFC').split(/[\\/]/).at(-1) ?? '';
  const kept = lastPart
    .replace(/\p{C}/gu, '')
    .replace(/[<>:"|?*]/g, '_')
    .replace(/^[\s.]+|[\s.]+$/g, '')
    .slice(0, MAX_LENGTH)
    // Cutting may split a pair of UTF-16 units, which no header can carry.
    .replace(/\p{Cs}/gu, '');
  return kept === '' ? fallback : kept;
}
