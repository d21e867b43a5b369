import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { ImportError, ImportFile } from '../api/shapes';
import { formatCount } from '../format/count';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { importErrorsQuery } from './queries';
import { alike, linesShown } from './alike';
import styles from './imports.module.css';

/** Reasons with their counts over the whole file; below them the first thousand places, all or of one reason. */
export function ErrorTable({ file }: { readonly file: ImportFile }) {
  const { api } = useOperator();
  const question = useQuery(importErrorsQuery(api, file.id));
  const [reason, setReason] = useState<string | null>(null);
  const reasons = Object.entries(file.errorCounts).sort(([, one], [, other]) => other - one);
  return (
    <section className="section" aria-labelledby="errors">
      <h2 id="errors">{words.imports.errorsTitle}</h2>
      <ul className={styles.reasons}>
        {[[null, file.errorCount] as const, ...reasons].map(([code, count]) => (
          <li key={code ?? 'all'}>
            <button type="button" className="button button-small" aria-pressed={reason === code} onClick={() => setReason(code)}>
              {code === null ? words.imports.allReasons : words.imports.reason(code)}
              <span className="figure">{formatCount(count, locale)}</span>
            </button>
          </li>
        ))}
      </ul>
      <Answer question={question} lines={8}>
        {({ items }) => <Places errors={items.filter((each) => reason === null || each.code === reason)} total={file.errorCount} shown={items.length} />}
      </Answer>
    </section>
  );
}

interface PlacesProps {
  readonly errors: readonly ImportError[];
  readonly total: number;
  readonly shown: number;
}

function Places({ errors, total, shown }: PlacesProps) {
  return (
    <>
      {shown < total ? <p className="soft">{words.imports.firstOnly(shown, total)}</p> : null}
      <Wide title={words.imports.errorsTitle}>
        <table>
          <caption className="visually-hidden">{words.imports.errorsTitle}</caption>
          <thead>
            <tr>
              <th scope="col" className="figure">
                {words.imports.line}
              </th>
              <th scope="col">{words.imports.guide.column}</th>
              <th scope="col">{words.imports.why}</th>
              <th scope="col">{words.imports.value}</th>
            </tr>
          </thead>
          <tbody>
            {alike(errors).map(({ error: each, lines }) => (
              <tr key={`${each.column} ${each.code} ${each.message} ${each.value}`}>
                <td className="figure">
                  {lines.slice(0, linesShown).map((line) => formatCount(line, locale)).join(', ')}
                  {lines.length > linesShown ? <div className="soft small">{words.imports.moreLines(lines.length - linesShown)}</div> : null}
                </td>
                <td>
                  <code>{each.column}</code>
                </td>
                <td>{each.message}</td>
                <td className={styles.value}>
                  <code>{each.value}</code>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </>
  );
}
