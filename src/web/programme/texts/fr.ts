import type { ProgrammeTexts } from '../say.ts';

export const texts: ProgrammeTexts = {
  programme: 'Programme',
  'no-programme': 'Il n’y a pas encore de programme',
};
