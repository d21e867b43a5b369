import { useInfiniteQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { ImportStateMark } from '../parts/state-mark';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { ColumnGuide } from './column-guide';
import { formatCount } from '../format/count';
import { importsQuery } from './queries';
import { UploadForm } from './upload-form';

/** `imports`: hand over a file of collections, and see what became of earlier ones. */
export function ImportsPage() {
  const { may } = useOperator();
  if (!may('import.read')) return <Denied title={words.imports.title} />;
  return (
    <Page title={words.imports.title} lead={words.imports.lead}>
      {may('import.create') ? (
        <section className="section" aria-labelledby="upload">
          <h2 id="upload">{words.imports.upload}</h2>
          <UploadForm />
          <ColumnGuide />
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
            <div className="scroll-across" tabIndex={0} role="group" aria-labelledby="files">
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
            </div>
            {question.hasNextPage ? (
              <div>
                <button type="button" className="button" aria-disabled={question.isFetchingNextPage} onClick={() => void question.fetchNextPage()}>
                  {words.more}
                </button>
              </div>
            ) : null}
          </>
        )
      }
    </Answer>
  );
}
