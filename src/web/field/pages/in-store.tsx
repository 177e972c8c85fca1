import { formatQuantity } from '../../language/units.ts';
import { Notice } from '../../parts/notice.tsx';
import { season } from '../kept/season.ts';
import { say } from '../say.ts';
import type { MaterialUse } from './material-line.tsx';

interface InStoreProps {
  readonly storeId: string;
  readonly line: MaterialUse;
}

/** What the store held of a material at the last reading; others may have issued since. */
export function InStore({ storeId, line: { materialId, quantity } }: InStoreProps) {
  if (!materialId) return null;
  const balance = season.value.balances.find(
    (each) => each.storeId === storeId && each.materialId === materialId,
  );
  const held = balance?.quantity ?? '0';
  const unitCode = season.value.materials.find(({ id }) => id === materialId)?.unitCode ?? '';
  return (
    <>
      <p class="small">{say('in-store', { quantity: formatQuantity(held, unitCode) })}</p>
      {Number(quantity) > Number(held) ? <Notice kind="note" title={say('not-enough')} /> : null}
    </>
  );
}
