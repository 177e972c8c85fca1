import pg from 'pg';

const { builtins, getTypeParser } = pg.types;
const DATE_ARRAY = 1182;

/**
 * How plain SQL results reach TypeScript: civil dates stay YYYY-MM-DD, instants become RFC 3339 text
 * in UTC with milliseconds, NUMERIC stays a decimal string, 64-bit counts become numbers.
 */
export const wireTypes: pg.CustomTypesConfig = {
  getTypeParser: ((oid: number, format?: 'text' | 'binary') => {
    switch (oid) {
      case builtins.DATE:
        return (text: string) => text;
      case DATE_ARRAY:
        return (text: string) => (text === '{}' ? [] : text.slice(1, -1).split(','));
      case builtins.TIMESTAMPTZ:
        return (text: string) => new Date(text).toISOString();
      case builtins.INT8:
        return Number;
      default:
        return getTypeParser(oid, format as 'text');
    }
  }) as pg.CustomTypesConfig['getTypeParser'],
};
