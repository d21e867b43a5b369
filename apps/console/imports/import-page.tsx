import { useQuery, useQueryClient } from '@tanstack/react-query';
import { Link, useParams } from 'react-router';
import type { ImportFile } from '../api/shapes';
import { formatCount } from '../format/count';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { ImportStateMark } from '../parts/state-mark';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { ErrorTable } from './error-table';
import { importQuery } from './queries';
import { RefundWarnings } from './refund-warnings';
import styles from './imports.module.css';

/** `imports/:id`: what the check of one file found, and the decision about it. */
export function ImportPage() {
  const { importId = '' } = useParams();
  const { api, may, to } = useOperator();
  const allowed = may('import.read');
  const question = useQuery({ ...importQuery(api, importId), enabled: allowed });
  if (!allowed) return <Denied title={words.imports.title} />;
  return (
    <Page
      title={question.data?.fileName ?? words.imports.title}
      lead={question.data === undefined ? undefined : <ImportStateMark state={question.data.state} />}
      actions={
        <Link className="button" to={to('collections/imports')}>
          {words.imports.back}
        </Link>
      }
    >
      <Answer question={question} lines={8}>
        {(file) => (
          <>
            <Verdict file={file} />
            <Facts file={file} />
            {file.errorCount > 0 ? <ErrorTable file={file} /> : null}
          </>
        )}
      </Answer>
    </Page>
  );
}

function Verdict({ file }: { readonly file: ImportFile }) {
  const { state, rowCount, errorCount, sameAs } = file;
  const text = words.imports.verdict;
  return (
    <div className="stack">
      {sameAs === null ? null : <p className="notice">{text.same(sameAs.fileName, formatInstant(sameAs.uploadedAt, locale))}</p>}
      {state === 'staged' ? (
        <>
          <p className="lead">{text.clean(rowCount)}</p>
          <RefundWarnings file={file} />
          <Decision file={file} />
        </>
      ) : null}
      {state === 'refused' ? (
        <div className="notice notice-alarm">
          <strong>{text.refused(errorCount)}</strong>
          <p>{text.refusedAdvice}</p>
        </div>
      ) : null}
      {state === 'accepted' ? (
        <>
          <p className="lead">{text.accepted(rowCount)}</p>
          <RefundWarnings file={file} />
        </>
      ) : null}
      {state === 'discarded' ? <p className="lead">{text.discarded}</p> : null}
    </div>
  );
}

function Decision({ file }: { readonly file: ImportFile }) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const deciding = useMutation({
    mutationFn: (decision: 'accept' | 'discard', key) => (decision === 'accept' ? api.acceptImport(file.id, key) : api.discardImport(file.id, key)),
    onSettled: async () => {
      // Keys that came in show up wherever keys do.
      if (file.kind === 'keys') return client.invalidateQueries();
      await client.invalidateQueries({ queryKey: ['imports'] });
      await client.invalidateQueries({ queryKey: ['collections'] });
      return client.invalidateQueries({ queryKey: ['month-end'] });
    },
  });
  if (!may('import.accept')) return null;
  return (
    <>
      {deciding.isError ? <TroubleNotice error={deciding.error} /> : null}
      <div className="row">
        <button type="button" className="button button-main" aria-disabled={deciding.isPending} onClick={() => deciding.mutate('accept')}>
          {deciding.isPending && deciding.variables === 'accept' ? words.working : words.imports.accept}
        </button>
        <button type="button" className="button" aria-disabled={deciding.isPending} onClick={() => deciding.mutate('discard')}>
          {words.imports.discard}
        </button>
      </div>
    </>
  );
}

function Facts({ file }: { readonly file: ImportFile }) {
  const nameOf = useActorName();
  const text = words.imports.facts;
  const facts = [
    [text.rows, formatCount(file.rowCount, locale)],
    [text.errors, formatCount(file.errorCount, locale)],
    [text.delimiter, text.delimiters[file.delimiter]],
    [text.decimalMark, text.decimalMarks[file.decimalMark]],
    [text.uploaded, text.by(nameOf(file.uploadedBy), formatInstant(file.uploadedAt, locale))],
    ...(file.acceptedAt === null ? [] : [[text.accepted, text.by(nameOf(file.acceptedBy ?? ''), formatInstant(file.acceptedAt, locale))]]),
  ];
  return (
    <dl className={styles.facts}>
      {facts.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}
