export const texts = {
  programme: 'Programme',
  'no-programme': 'There is no programme yet',
} as const;
