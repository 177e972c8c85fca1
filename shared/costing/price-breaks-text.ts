import type { PriceBreak } from './offer-amount.ts';

/** Price breaks as a cell of a price list writes them: "10=4.20;50=3.95". */
export const breaksText = (breaks: readonly PriceBreak[]): string =>
  breaks.map(({ fromPacks, pricePerPack }) => `${fromPacks}=${pricePerPack}`).join(';');
