const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Text as it stands in HTML, between tags or in a quoted attribute; never markup. */
export const htmlText = (text: string): string =>
  text.replace(/[&<>"']/g, (character) => ENTITIES[character] ?? character);
