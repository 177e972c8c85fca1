import { catalogue, type TextsOf } from '../language/catalogue.ts';
import { texts } from './texts/en.ts';

export type MaterialTexts = TextsOf<typeof texts>;

export const say = catalogue(texts, {
  fr: () => import('./texts/fr.ts'),
  es: () => import('./texts/es.ts'),
});
