import type { ImportError } from '../../../shared/contract/file-import.ts';
import type { SiteImportWithPreview } from '../../../shared/contract/site-import.ts';
import { addressOf } from '../api/request.ts';
import { Button } from '../parts/button.tsx';
import { Notice } from '../parts/notice.tsx';
import { Table } from '../parts/table.tsx';
import type { CsvRow } from './csv-rows.ts';
import { OwnRows } from './own-rows.tsx';
import { say } from './say.ts';

interface ImportOutcomeProps {
  readonly answer: SiteImportWithPreview;
  /** The file's own rows; none for a sheet. */
  readonly rows: readonly CsvRow[];
  readonly onApply: () => void;
}

/** What the file would do or did; its errors stand in its own rows. */
export function ImportOutcome({ answer, rows, onApply }: ImportOutcomeProps) {
  const counts = {
    created: answer.createdCount,
    updated: answer.updatedCount,
    unchanged: answer.unchangedCount,
  };
  if (answer.errorCount > 0) {
    const values = { count: answer.errorCount, rows: answer.rowCount };
    return (
      <section class="stack">
        <Notice kind="problem" title={say('file-errors', values)}>
          <a href={addressOf(`/site-imports/${answer.id}/errors.csv`)} download>
            {say('errors-file')}
          </a>
        </Notice>
        {rows.length > 0 ? (
          <OwnRows rows={rows} errors={answer.errors} />
        ) : (
          <ErrorList errors={answer.errors} />
        )}
      </section>
    );
  }
  if (answer.state === 'applied') {
    return (
      <Notice kind="note" title={say('file-applied', counts)}>
        <a href={`/sites?programme=${answer.programmeId}`}>{say('sites')}</a>
      </Notice>
    );
  }
  return (
    <section class="stack">
      <Notice kind="note" title={say('file-good', counts)}>
        <Button kind="main" onClick={onApply}>
          {say('apply-file')}
        </Button>
      </Notice>
      <Table
        caption={say('preview')}
        rows={answer.preview}
        keyOf={({ line }) => String(line)}
        columns={[
          { title: say('line'), isNumber: true, cell: ({ line }) => line },
          { title: say('text'), isHead: true, cell: ({ code }) => code },
          { title: say('action'), cell: ({ action }) => say(`action-${action}`) },
          {
            title: say('changes'),
            cell: ({ changes }) =>
              changes
                .map(({ field, from, to }) => `${field}: ${from ?? '–'} → ${to ?? '–'}`)
                .join('; '),
          },
        ]}
      />
    </section>
  );
}

function ErrorList({ errors }: { readonly errors: readonly ImportError[] }) {
  return (
    <Table
      caption={say('hint')}
      hidesCaption
      rows={errors}
      keyOf={({ line, column, code }) => `${line} ${column} ${code}`}
      columns={[
        { title: say('line'), isHead: true, cell: ({ line }) => line },
        { title: say('column'), cell: ({ column }) => column },
        { title: say('found'), cell: ({ value }) => value ?? say('personal-hidden') },
        { title: say('hint'), cell: ({ hint }) => <span lang="en">{hint}</span> },
      ]}
    />
  );
}
