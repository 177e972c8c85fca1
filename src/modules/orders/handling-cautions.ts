import { CAUTIONS, type Caution, type CautionId } from '../../../shared/structure/cautions.ts';
import type { HandledMaterial } from './document-repository.ts';

/** What is said with a material that harms whoever carries it, by its code, name or kind. */
const HARMFUL: readonly {
  readonly id: CautionId;
  readonly isMeant: (material: HandledMaterial) => boolean;
}[] = [
  {
    id: 'cement',
    isMeant: ({ code, name, category }) =>
      category === 'binder' || /cement|mortar/i.test(`${code} ${name}`),
  },
  { id: 'lime', isMeant: ({ code, name }) => /\blime\b|quicklime/i.test(`${code} ${name}`) },
  { id: 'bitumen', isMeant: ({ code, name }) => /bitumen|asphalt/i.test(`${code} ${name}`) },
];

/** Cautions for those who load, carry and store what an order brings. */
export function handlingCautions(materials: readonly HandledMaterial[]): Caution[] {
  return HARMFUL.filter(({ isMeant }) => materials.some(isMeant)).flatMap(({ id }) =>
    CAUTIONS.filter((caution) => caution.id === id),
  );
}
