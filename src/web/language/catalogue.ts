import { signal } from '@preact/signals';
import { beforeLanguage, type Language, language } from './language.ts';
import { localeOf } from './locale.ts';

/** A sentence, or one sentence a plural form, chosen by `count`. */
export type Message = string | { readonly one: string; readonly other: string };

export type Values = Readonly<Record<string, string | number>>;

type Texts<Key extends string> = Readonly<Record<Key, Message>>;

/** What another language must say: every sentence of the English one, a plural where it has one. */
export type TextsOf<English extends Texts<string>> = {
  readonly [Key in keyof English]: English[Key] extends string ? string : Message;
};

export interface Catalogue<Key extends string> {
  /** The sentence in the present language, with `{name}` replaced by values. */
  (key: Key, values?: Values): string;
  /** True when the catalogue has this key: for codes that the service sends. */
  has(key: string): key is Key;
  /** Settles when the sentences of the present language are here. */
  readonly ready: Promise<void>;
}

/**
 * The sentences of one part of the pages: English at hand, other languages loaded when chosen.
 * Their types make the compiler name a sentence that one language lacks.
 */
export function catalogue<Key extends string>(
  english: Texts<Key>,
  others: Readonly<Record<Exclude<Language, 'en'>, () => Promise<{ readonly texts: Texts<Key> }>>>,
): Catalogue<Key> {
  const known = signal<Partial<Record<Language, Texts<Key>>>>({ en: english });
  const ready = beforeLanguage(async (wanted) => {
    if (wanted === 'en' || known.peek()[wanted]) return;
    const { texts } = await others[wanted]();
    known.value = { ...known.peek(), [wanted]: texts };
  });
  const say = (key: Key, values: Values = {}) => {
    const message = (known.value[language.value] ?? english)[key];
    return filled(formOf(message, values), values);
  };
  const has = (key: string): key is Key => Object.hasOwn(english, key);
  return Object.assign(say, { has, ready });
}

function formOf(message: Message, { count }: Values): string {
  if (typeof message === 'string') return message;
  const form = new Intl.PluralRules(localeOf(language.value)).select(Number(count));
  return form === 'one' ? message.one : message.other;
}

function filled(sentence: string, values: Values): string {
  return sentence.replace(/\{(\w+)\}/g, (whole, name: string) => {
    const value = values[name];
    if (value === undefined) return whole;
    if (typeof value === 'string') return value;
    return new Intl.NumberFormat(localeOf(language.value)).format(value);
  });
}
