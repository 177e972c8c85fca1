import { crc32 } from 'node:zlib';
import yauzl, { type Entry, type ZipFile } from 'yauzl';
import { DomainError } from '../../domain/errors.ts';
import { firstSheetPath } from './first-sheet.ts';
import { tooLarge, unreadable } from './table.ts';

const MAX_ENTRIES = 200;
/** Most bytes that all parts may inflate to: a workbook of 50,000 full rows stays well below. */
const MAX_INFLATED_BYTES = 60 * 1024 * 1024;
/** Most bytes that one byte of the file may become; sheets of repeated text reach about 30. */
const MAX_INFLATION_RATIO = 100;
/** Below this nothing is a bomb, and tiny workbooks have odd ratios. */
const RATIO_MATTERS_FROM_BYTES = 2 * 1024 * 1024;

const WORKBOOK = 'xl/workbook.xml';
const WORKBOOK_RELATIONS = 'xl/_rels/workbook.xml.rels';
const SHARED_STRINGS = 'xl/sharedStrings.xml';
const STYLES = 'xl/styles.xml';
const SHEET_ENDS = ['</sheetData>', '<sheetData/>'];

export interface WorkbookPart {
  readonly name: string;
  readonly bytes: Buffer;
}

/**
 * Inflates the parts of a workbook that its first sheet needs, and nothing else. The directory of
 * the archive is examined before a byte is inflated, and not believed while it is.
 *
 * @returns the parts in the order in which a streaming reader wants them, the sheet last
 * @throws {DomainError} `too-large` for more than 200 entries, 60 MB or a hundredfold inflation;
 *   `invalid-content` for what is not a workbook
 */
export async function workbookParts(file: Buffer): Promise<WorkbookPart[]> {
  try {
    const zip = await yauzl.fromBufferPromise(file, { lazyEntries: true });
    const entries = await readDirectory(zip, file.length);
    const budget = { leftBytes: MAX_INFLATED_BYTES };
    const take = async (name: string) => {
      const entry = entries.get(name.toLowerCase());
      return entry && (await inflate(zip, entry, budget));
    };
    const workbook = await take(WORKBOOK);
    const relations = await take(WORKBOOK_RELATIONS);
    if (!workbook || !relations) throw notAWorkbook();
    const sheetPath = firstSheetPath(workbook.toString(), relations.toString());
    const sheet = sheetPath && (await take(sheetPath));
    if (!sheet) throw unreadable('xlsx.no-sheet', 'has no visible sheet of cells');
    // The reader of sheets takes one that is cut off for one that ends there.
    if (!SHEET_ENDS.some((end) => sheet.includes(end)))
      throw unreadable('xlsx.cut-off', 'has a first sheet that is cut off');
    const styles = await take(STYLES);
    return [
      { name: WORKBOOK_RELATIONS, bytes: relations },
      { name: WORKBOOK, bytes: workbook },
      ...(styles ? [{ name: STYLES, bytes: styles }] : []),
      { name: SHARED_STRINGS, bytes: (await take(SHARED_STRINGS)) ?? Buffer.from('<sst/>') },
      { name: 'xl/worksheets/sheet1.xml', bytes: sheet },
    ];
  } catch (error) {
    if (error instanceof DomainError) throw error;
    throw notAWorkbook(error);
  }
}

async function readDirectory(zip: ZipFile, fileBytes: number): Promise<Map<string, Entry>> {
  if (zip.entryCount > MAX_ENTRIES) throw tooManyEntries();
  const entries = new Map<string, Entry>();
  let entryCount = 0;
  let declaredBytes = 0;
  for await (const entry of zip.eachEntry()) {
    entryCount += 1;
    if (entryCount > MAX_ENTRIES) throw tooManyEntries();
    if (entry.isEncrypted()) throw unreadable('xlsx.encrypted', 'is protected by a password');
    declaredBytes += entry.uncompressedSize;
    entries.set(entry.fileName.toLowerCase(), entry);
  }
  if (declaredBytes > MAX_INFLATED_BYTES) throw inflatesTooFar();
  if (declaredBytes > RATIO_MATTERS_FROM_BYTES && declaredBytes > fileBytes * MAX_INFLATION_RATIO) {
    throw tooLarge(`The workbook inflates more than ${MAX_INFLATION_RATIO}-fold.`);
  }
  return entries;
}

async function inflate(zip: ZipFile, entry: Entry, budget: { leftBytes: number }): Promise<Buffer> {
  const chunks: Buffer[] = [];
  const stream = await zip.openReadStreamPromise(entry);
  for await (const chunk of stream as AsyncIterable<Buffer>) {
    budget.leftBytes -= chunk.length;
    if (budget.leftBytes < 0) throw inflatesTooFar();
    chunks.push(chunk);
  }
  const bytes = Buffer.concat(chunks);
  if (crc32(bytes) !== entry.crc32)
    throw unreadable('xlsx.damaged', 'is damaged: a part of it does not match its checksum');
  return bytes;
}

const inflatesTooFar = () =>
  tooLarge(`The workbook inflates to more than ${MAX_INFLATED_BYTES / 1024 / 1024} MB.`);
const tooManyEntries = () => tooLarge(`The workbook has more than ${MAX_ENTRIES} parts.`);

function notAWorkbook(cause?: unknown): DomainError {
  return new DomainError('invalid-content', {
    errors: [
      {
        pointer: '',
        code: 'xlsx.unreadable',
        message:
          'is not an XLSX workbook; an older .xls file or one with a password must be saved as .xlsx first',
      },
    ],
    cause,
  });
}
