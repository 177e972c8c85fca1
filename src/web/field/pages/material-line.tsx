import { Field } from '../../parts/field.tsx';
import { season } from '../kept/season.ts';
import { say } from '../say.ts';

export interface MaterialUse {
  readonly materialId: string;
  readonly quantity: string;
  readonly unitCode: string;
}

export const NO_MATERIAL: MaterialUse = { materialId: '', quantity: '', unitCode: '' };

interface MaterialLineProps {
  readonly label: string;
  readonly line: MaterialUse;
  readonly onChange: (next: MaterialUse) => void;
}

/** A material and how much of it, in its own unit. */
export function MaterialLine({ label, line, onChange }: MaterialLineProps) {
  const { materials } = season.value;
  return (
    <>
      <Field label={label}>
        <select
          required
          value={line.materialId}
          onChange={(event: Event) => {
            const materialId = (event.currentTarget as HTMLSelectElement).value;
            const unitCode = materials.find(({ id }) => id === materialId)?.unitCode ?? '';
            onChange({ ...line, materialId, unitCode });
          }}
        >
          <option value="" />
          {materials.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </Field>
      <Field
        label={
          line.unitCode ? say('quantity-in', { unit: unitName(line.unitCode) }) : say('quantity')
        }
      >
        <input
          type="text"
          inputMode="decimal"
          pattern="\d{1,9}(\.\d{1,6})?"
          title="0.0"
          required
          value={line.quantity}
          onInput={(event: Event) => {
            const text = (event.currentTarget as HTMLInputElement).value.replace(',', '.');
            onChange({ ...line, quantity: text });
          }}
        />
      </Field>
    </>
  );
}

const NAMES: Readonly<Record<string, string>> = {
  KGM: 'kg',
  LTR: 'L',
  MTR: 'm',
  MTK: 'm²',
  MTQ: 'm³',
};

export const unitName = (unitCode: string): string => NAMES[unitCode] ?? unitCode;
