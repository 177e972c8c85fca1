import { crc32 } from 'node:zlib';
import type { WorkbookPart } from './workbook-parts.ts';

const VERSION = 20;
const STORED = 0;
/** 1 January 1980, the earliest date the format knows; nobody reads it. */
const DATE = 0x0021;

/**
 * An archive of parts that are stored, not compressed: what the reader of sheets gets, so that it
 * reads exactly the bytes that were inflated and measured here.
 *
 * @source PKWARE APPNOTE 4.3.7, 4.3.12, 4.3.16
 */
export function storedZip(parts: readonly WorkbookPart[]): Buffer[] {
  const pieces: Buffer[] = [];
  const directory: Buffer[] = [];
  let offset = 0;
  for (const { name, bytes } of parts) {
    const fileName = Buffer.from(name);
    const common = Buffer.alloc(26);
    common.writeUInt16LE(VERSION, 0);
    common.writeUInt16LE(STORED, 4);
    common.writeUInt16LE(DATE, 8);
    common.writeUInt32LE(crc32(bytes), 10);
    common.writeUInt32LE(bytes.length, 14);
    common.writeUInt32LE(bytes.length, 18);
    common.writeUInt16LE(fileName.length, 22);
    const header = Buffer.concat([signature(0x04034b50), common, fileName]);
    const rest = Buffer.alloc(14);
    rest.writeUInt32LE(offset, 10);
    directory.push(signature(0x02014b50), uint16(VERSION), common, rest, fileName);
    pieces.push(header, bytes);
    offset += header.length + bytes.length;
  }
  const listing = Buffer.concat(directory);
  const end = Buffer.alloc(18);
  end.writeUInt16LE(parts.length, 4);
  end.writeUInt16LE(parts.length, 6);
  end.writeUInt32LE(listing.length, 8);
  end.writeUInt32LE(offset, 12);
  return [...pieces, listing, signature(0x06054b50), end];
}

function signature(value: number): Buffer {
  const bytes = Buffer.alloc(4);
  bytes.writeUInt32LE(value);
  return bytes;
}

function uint16(value: number): Buffer {
  const bytes = Buffer.alloc(2);
  bytes.writeUInt16LE(value);
  return bytes;
}
