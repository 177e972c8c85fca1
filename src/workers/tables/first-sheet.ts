/**
 * Path in the archive of the first visible sheet of cells.
 *
 * @param workbookXml `xl/workbook.xml`, @param relationsXml `xl/_rels/workbook.xml.rels`
 * @source ECMA-376 Part 1, 18.2.20 (sheets) and Part 2, 9.3 (relationships)
 */
export function firstSheetPath(workbookXml: string, relationsXml: string): string | null {
  const targets = new Map<string, string>();
  for (const relation of elements(relationsXml, 'Relationship')) {
    const { Id, Target, Type } = relation;
    if (Id && Target && Type?.endsWith('/worksheet')) targets.set(Id, Target);
  }
  for (const sheet of elements(workbookXml, 'sheet')) {
    if (sheet.state === 'hidden' || sheet.state === 'veryHidden') continue;
    const target = targets.get(sheet.id ?? '');
    if (target) return target.startsWith('/') ? target.slice(1) : `xl/${target}`;
  }
  return null;
}

/** Attributes of every element of a name, prefixes dropped, the relation's `r:id` standing for `id`. */
function* elements(xml: string, name: string): Generator<Partial<Record<string, string>>> {
  for (const [, attributes = ''] of xml.matchAll(
    new RegExp(`<(?:\\w+:)?${name}\\s([^>]*)>`, 'g'),
  )) {
    const found: Record<string, string> = {};
    for (const [, key = '', quoted, apostrophised] of attributes.matchAll(
      /(?:\w+:)?(\w+)\s*=\s*(?:"([^"]*)"|'([^']*)')/g,
    )) {
      found[key] = (quoted ?? apostrophised ?? '').replaceAll('&amp;', '&');
    }
    yield found;
  }
}
