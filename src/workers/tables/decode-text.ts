import { isUtf8 } from 'node:buffer';
import { unreadable } from './table.ts';

const LINE_FEED = 0x0a;

/**
 * Text of a file that must be UTF-8, with or without a byte order mark.
 *
 * Other encodings are refused and not guessed: a wrong guess changes names without a word.
 *
 * @throws {DomainError} `invalid-content`, naming the line of the first byte that is not UTF-8
 */
export function decodeText(bytes: Uint8Array): string {
  const [first, second] = bytes;
  if ((first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff)) {
    throw unreadable('text.utf-16', 'is UTF-16 text; save it as CSV in UTF-8', 1);
  }
  if (bytes.includes(0)) {
    throw unreadable('text.binary', 'holds zero bytes, so it is not a text file', lineOf(bytes, 0));
  }
  if (!isUtf8(bytes)) {
    const line = firstBadLine(bytes);
    throw unreadable(
      'text.not-utf-8',
      'holds bytes that are not UTF-8; the file may be Windows-1252: save it as CSV in UTF-8',
      line,
    );
  }
  return new TextDecoder('utf-8').decode(bytes);
}

const lineOf = (bytes: Uint8Array, byte: number) => {
  const end = bytes.indexOf(byte);
  let line = 1;
  for (let index = 0; index < end; index += 1) if (bytes[index] === LINE_FEED) line += 1;
  return line;
};

/** A line feed never stands inside a UTF-8 sequence, so each line is examined alone. */
function firstBadLine(bytes: Uint8Array): number {
  let line = 1;
  let start = 0;
  while (start < bytes.length) {
    const found = bytes.indexOf(LINE_FEED, start);
    const end = found === -1 ? bytes.length : found;
    if (!isUtf8(bytes.subarray(start, end))) return line;
    start = end + 1;
    line += 1;
  }
  return line;
}
