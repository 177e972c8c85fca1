import type { ProgrammeTexts } from '../say.ts';

export const texts: ProgrammeTexts = {
  programme: 'Programa',
  'no-programme': 'Todavía no hay ningún programa',
};
