/** Lower case without accents: what people type is rarely accented. */
export const plain = (text: string): string =>
  text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase();
