import {
  type CellFault,
  type Read,
  readChoice,
  readDecimal,
  readNumber,
} from '../workers/tables/cell-values.ts';

/** A column that a file may have, and how its cells are read. */
export interface Column<Field extends string = string> {
  readonly name: string;
  readonly field: Field;
  readonly isRequired?: true;
  /** Personal data are never repeated in errors, previews or records of imports. */
  readonly isPersonal?: true;
  read(text: string): Read<unknown>;
}

/** The columns of one kind of file; every other column is an error. */
export interface FileShape<Field extends string = string> {
  /** What the rows are, as in "the columns of sites". */
  readonly noun: string;
  readonly columns: readonly Column<Field>[];
  /** Other words for the columns, to suggest the right one by. */
  readonly synonyms: Readonly<Record<string, string>>;
}

/** Limits of a value, as Zod knows them. */
export interface Fact {
  safeParse(
    value: unknown,
  ):
    | { success: true; data: unknown }
    | { success: false; error: { issues: { message: string }[] } };
}

/** Holds what a cell says against the fact's own limits. */
export function within(fact: Fact, read: Read<unknown>): Read<unknown> {
  if ('fault' in read) return read;
  const checked = fact.safeParse(read.value);
  if (checked.success) return { value: checked.data };
  const hint = checked.error.issues[0]?.message ?? 'is not acceptable';
  return { fault: { code: 'value.out-of-range', hint } satisfies CellFault };
}

export const textCell = (fact: Fact) => (cell: string) => within(fact, { value: cell });
export const numberCell = (fact: Fact) => (cell: string) => within(fact, readNumber(cell));
export const decimalCell = (fact: Fact) => (cell: string) => within(fact, readDecimal(cell));
export const choiceCell = (fact: { options: readonly string[] }) => (cell: string) =>
  readChoice(cell, fact.options);
