import { crc32, deflateRawSync } from 'node:zlib';
import ExcelJS from 'exceljs';

export interface ArchiveEntry {
  readonly name: string;
  readonly data: Buffer | string;
  /** What the directory says that it inflates to, when that is to be a lie. */
  readonly declaredBytes?: number;
}

/** A zip archive made by hand, so that its directory can say what it likes. */
export function archive(entries: readonly ArchiveEntry[]): Buffer {
  const pieces: Buffer[] = [];
  const directory: Buffer[] = [];
  let offset = 0;
  for (const { name, data, declaredBytes } of entries) {
    const bytes = Buffer.from(data as string);
    const packed = deflateRawSync(bytes, { level: 6 });
    const common = Buffer.alloc(26);
    common.writeUInt16LE(20, 0);
    common.writeUInt16LE(8, 4);
    common.writeUInt32LE(crc32(bytes), 10);
    common.writeUInt32LE(packed.length, 14);
    common.writeUInt32LE(declaredBytes ?? bytes.length, 18);
    common.writeUInt16LE(name.length, 22);
    const header = Buffer.concat([Buffer.from('PK\x03\x04'), common, Buffer.from(name)]);
    const rest = Buffer.alloc(14);
    rest.writeUInt32LE(offset, 10);
    const made = [Buffer.from('PK\x01\x02\x14\x00'), common, rest, Buffer.from(name)];
    directory.push(Buffer.concat(made));
    pieces.push(header, packed);
    offset += header.length + packed.length;
  }
  const listing = Buffer.concat(directory);
  const end = Buffer.alloc(18);
  end.writeUInt16LE(entries.length, 4);
  end.writeUInt16LE(entries.length, 6);
  end.writeUInt32LE(listing.length, 8);
  end.writeUInt32LE(offset, 12);
  return Buffer.concat([...pieces, listing, Buffer.from('PK\x05\x06'), end]);
}

const WORKBOOK =
  '<workbook xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Sites" sheetId="1" r:id="rId1"/></sheets></workbook>';
const RELATIONS =
  '<Relationships><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>';

/** A workbook of one sheet whose parts are given as they stand. */
export const rawWorkbook = (sheetXml: string | Buffer, more: readonly ArchiveEntry[] = []) =>
  archive([
    { name: 'xl/workbook.xml', data: WORKBOOK },
    { name: 'xl/_rels/workbook.xml.rels', data: RELATIONS },
    { name: 'xl/worksheets/sheet1.xml', data: sheetXml },
    ...more,
  ]);

type Cell = string | number | boolean | Date | null;

/** A workbook as a spreadsheet program writes it. */
export async function workbook(
  rows: readonly (readonly Cell[])[],
  hiddenFirst: readonly (readonly Cell[])[] = [],
): Promise<Buffer> {
  const book = new ExcelJS.Workbook();
  if (hiddenFirst.length > 0) {
    const hidden = book.addWorksheet('Lists', { state: 'hidden' });
    for (const row of hiddenFirst) hidden.addRow([...row]);
  }
  const sheet = book.addWorksheet('Sites');
  for (const row of rows) sheet.addRow([...row]);
  return Buffer.from(await book.xlsx.writeBuffer());
}
