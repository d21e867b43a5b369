import { useInfiniteQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import type { ImportFile } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { useAddressState } from '../parts/address-state';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { ImportStateMark } from '../parts/state-mark';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { ColumnGuide } from './column-guide';
import { formatCount } from '../format/count';
import { importsQuery } from './queries';
import { UploadForm } from './upload-form';

type Kind = ImportFile['kind'];
/** So that the set-up of keys can lead to a file of keys. */
const kindInAddress = {
  read: (parameters: URLSearchParams): Kind => (parameters.get('kind') === 'keys' ? 'keys' : 'collections'),
  write: (kind: Kind): URLSearchParams => new URLSearchParams(kind === 'keys' ? { kind } : {}),
};

/** `imports`: hand over a file of collections or of keys, and see what became of earlier ones. */
export function ImportsPage() {
  const { may } = useOperator();
  const mayKeys = may('key-copy.make');
  const [asked, setAsked] = useAddressState(kindInAddress);
  const kind = mayKeys && asked === 'keys' ? 'keys' : 'collections';
  if (!may('import.read')) return <Denied title={words.imports.title} />;
  return (
    <Page title={words.imports.title} lead={words.imports.lead}>
      {may('import.create') ? (
        <section className="section" aria-labelledby="upload">
          <h2 id="upload">{words.imports.upload}</h2>
          {mayKeys ? (
            <div className="form">
              <SelectField
                id="kind" label={words.imports.kind} value={kind} options={(['collections', 'keys'] as const).map((each) => ({ value: each, text: words.imports.kinds[each] }))}
                onValue={(value) => setAsked(value === 'keys' ? 'keys' : 'collections')}
              />
            </div>
          ) : null}
          <UploadForm key={kind} kind={kind} />
          <ColumnGuide kind={kind} />
        </section>
      ) : null}
      <section className="section" aria-labelledby="files">
        <h2 id="files">{words.imports.files}</h2>
        <Files />
      </section>
    </Page>
  );
}

function Files() {
  const { api, to } = useOperator();
  const question = useInfiniteQuery(importsQuery(api));
  const files = question.data?.pages.flatMap((page) => page.items);
  return (
    <Answer question={{ ...question, data: files }} lines={5}>
      {(found) =>
        found.length === 0 ? (
          <Blank title={words.imports.none} />
        ) : (
          <>
            <Wide title={words.imports.files}>
              <table>
                <caption className="visually-hidden">{words.imports.files}</caption>
                <thead>
                  <tr>
                    <th scope="col">{words.imports.file}</th>
                    <th scope="col">{words.state}</th>
                    <th scope="col" className="figure">
                      {words.imports.rows}
                    </th>
                    <th scope="col" className="figure">
                      {words.imports.errors}
                    </th>
                    <th scope="col">{words.imports.uploaded}</th>
                  </tr>
                </thead>
                <tbody>
                  {found.map((file) => (
                    <tr key={file.id}>
                      <th scope="row">
                        <Link to={to(`collections/imports/${file.id}`)}>{file.fileName}</Link>
                      </th>
                      <td>
                        <ImportStateMark state={file.state} />
                      </td>
                      <td className="figure">{formatCount(file.rowCount, locale)}</td>
                      <td className="figure">{formatCount(file.errorCount, locale)}</td>
                      <td>{formatInstant(file.uploadedAt, locale)}</td>
                    </tr>
                  ))}
                </tbody>
              </table>
            </Wide>
            <More question={question} />
          </>
        )
      }
    </Answer>
  );
}
