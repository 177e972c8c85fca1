import { useSignal } from '@preact/signals';
import { Field } from '../../parts/field.tsx';
import { may } from '../../session/session.ts';
import { inspectionPath } from '../field-paths.ts';
import { season } from '../kept/season.ts';
import { say } from '../say.ts';

/** As many as a thumb scrolls through; the search narrows the rest. */
const MOST_SHOWN = 30;

/** Tanks in use, for whoever inspects them. */
export function HandedOver() {
  const text = useSignal('');
  const all = season.value.builds.filter(({ status }) => status === 'handed-over');
  if (!may('inspections:write') || all.length === 0) return null;
  const wanted = text.value.trim().toLocaleLowerCase();
  const found = all.filter(({ code, villageName }) =>
    `${code} ${villageName}`.toLocaleLowerCase().includes(wanted),
  );
  return (
    <details class="panel">
      <summary>
        <strong>{say('handed-over-tanks')}</strong>
      </summary>
      <div class="field-form">
        <Field label={say('find-tank')}>
          <input
            type="search"
            value={text.value}
            onInput={(event: Event) => {
              text.value = (event.currentTarget as HTMLInputElement).value;
            }}
          />
        </Field>
        <ul class="field-list">
          {found.slice(0, MOST_SHOWN).map(({ id, code, villageName }) => (
            <li key={id}>
              <a class="field-card" href={inspectionPath(id)}>
                <div>
                  <strong>{code}</strong>
                  <span>{villageName}</span>
                </div>
              </a>
            </li>
          ))}
        </ul>
      </div>
    </details>
  );
}
