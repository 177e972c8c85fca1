import { useSignal } from '@preact/signals';
import { useRef } from 'preact/hooks';
import type { SiteImportWithPreview } from '../../../shared/contract/site-import.ts';
import { post } from '../api/client.ts';
import { Button } from '../parts/button.tsx';
import { Failure } from '../parts/failure.tsx';
import { Field } from '../parts/field.tsx';
import { useTitle } from '../parts/title.ts';
import { OfProgramme } from '../programme/of-programme.tsx';
import { type CsvRow, csvRows } from './csv-rows.ts';
import { ImportOutcome } from './import-outcome.tsx';
import { say } from './say.ts';
import './sites.css';

const XLSX = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';

/** Importing sites: the file is tried first, and applied as it was tried. */
export function ImportPage() {
  useTitle(say('import-title'));
  return (
    <OfProgramme title={() => say('import-title')}>
      {({ id }) => <ImportFile key={id} programmeId={id} />}
    </OfProgramme>
  );
}

interface Tried {
  readonly file: File;
  readonly rows: readonly CsvRow[];
  readonly answer: SiteImportWithPreview;
}

function ImportFile({ programmeId }: { readonly programmeId: string }) {
  const input = useRef<HTMLInputElement>(null);
  const tried = useSignal<Tried | null>(null);
  const isSending = useSignal(false);
  const failure = useSignal<unknown>(undefined);

  const send = async (file: File, planHash?: string) => {
    isSending.value = true;
    failure.value = undefined;
    try {
      const isSheet = file.name.toLowerCase().endsWith('.xlsx');
      const bytes = new Blob([await file.arrayBuffer()], { type: isSheet ? XLSX : 'text/csv' });
      const mode = planHash === undefined ? 'dry-run' : 'apply';
      const query = { mode, planHash, fileName: file.name.slice(-300) };
      const path = `/programmes/${programmeId}/site-imports`;
      const { body } = await post<SiteImportWithPreview>(path, bytes, { query });
      tried.value = { file, rows: isSheet ? [] : csvRows(await file.text()), answer: body };
    } catch (error) {
      failure.value = error;
      tried.value = null;
    } finally {
      isSending.value = false;
    }
  };

  const present = tried.value;
  return (
    <>
      <form
        class="panel"
        onSubmit={(event) => {
          event.preventDefault();
          const file = input.current?.files?.[0];
          if (file) void send(file);
        }}
      >
        <p>{say('import-hint')}</p>
        <Field label={say('file')}>
          <input
            ref={input}
            type="file"
            accept=".csv,.xlsx"
            required
            onChange={() => {
              tried.value = null;
            }}
          />
        </Field>
        <Button type="submit" kind={present ? 'usual' : 'main'} disabled={isSending.value}>
          {say('try-file')}
        </Button>
      </form>
      {isSending.value ? (
        <p class="waiting" role="status">
          {say('trying')}
        </p>
      ) : null}
      {failure.value === undefined ? null : <Failure error={failure.value} />}
      {present && !isSending.value ? (
        <ImportOutcome
          answer={present.answer}
          rows={present.rows}
          onApply={() => void send(present.file, present.answer.planHash)}
        />
      ) : null}
    </>
  );
}
