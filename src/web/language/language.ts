import { signal } from '@preact/signals';

export const LANGUAGES = ['en', 'fr', 'es'] as const;
export type Language = (typeof LANGUAGES)[number];

/** Names of the languages in themselves, as a switch shows them. */
export const LANGUAGE_NAMES: Readonly<Record<Language, string>> = {
  en: 'English',
  fr: 'Français',
  es: 'Español',
};

const KEPT_AS = 'hoopwright.language';

const isLanguage = (text: string | null | undefined): text is Language =>
  LANGUAGES.includes(text as Language);

function firstLanguage(): Language {
  const kept = localStorage.getItem(KEPT_AS);
  if (isLanguage(kept)) return kept;
  const wanted = navigator.languages.map((tag) => tag.slice(0, 2).toLowerCase());
  return wanted.find(isLanguage) ?? 'en';
}

/** The language of the pages. Change it with `chooseLanguage`. */
export const language = signal<Language>(firstLanguage());

const loaders = new Set<(language: Language) => Promise<void>>();

/** Registers what must have arrived before a language shows; runs it for the present one. */
export function beforeLanguage(load: (language: Language) => Promise<void>): Promise<void> {
  loaders.add(load);
  return load(language.value);
}

/** Changes the language once every catalogue in use has arrived, and remembers the choice. */
export async function chooseLanguage(next: Language): Promise<void> {
  await Promise.all([...loaders].map((load) => load(next)));
  language.value = next;
  localStorage.setItem(KEPT_AS, next);
  document.documentElement.lang = next;
}
