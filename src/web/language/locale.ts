import type { Language } from './language.ts';

const LOCALES: Readonly<Record<Language, string>> = { en: 'en-GB', fr: 'fr-FR', es: 'es-ES' };

/** The locale whose habits numbers, dates and money follow. */
export const localeOf = (language: Language): string => LOCALES[language];
