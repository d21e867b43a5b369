import type { ReactNode } from 'react';
import { words } from '../words/words';
import { TroubleNotice } from './trouble';
import styles from './answer.module.css';

/** What the query library tells about one question, as far as a screen needs it. */
export interface Question<Data> {
  readonly data: Data | undefined;
  readonly error: unknown;
  readonly isError: boolean;
  readonly refetch: () => unknown;
}

interface AnswerProps<Data> {
  readonly question: Question<Data>;
  readonly children: (data: Data) => ReactNode;
  /** Height that the answer will take, so that what follows does not jump. */
  readonly lines?: number;
}

/** Shows an answer, or that it is on its way, or why there is none. An old answer stays in sight beside a new trouble. */
export function Answer<Data>({ question, children, lines = 4 }: AnswerProps<Data>) {
  const { data, error, isError, refetch } = question;
  if (data === undefined && !isError) return <Waiting lines={lines} />;
  return (
    <>
      {isError ? <TroubleNotice error={error} onRetry={() => void refetch()} /> : null}
      {data === undefined ? null : children(data)}
    </>
  );
}

export function Waiting({ lines = 4 }: { readonly lines?: number }) {
  return (
    <div role="status" className={styles.waiting}>
      <span className="visually-hidden">{words.loading}</span>
      {Array.from({ length: lines }, (_, index) => (
        <span key={index} className={styles.line} />
      ))}
    </div>
  );
}

/** There is nothing, and that is no error: says so, and what would bring something here. */
export function Blank({ title, children }: { readonly title: string; readonly children?: ReactNode }) {
  return (
    <div className="blank">
      <p className="lead">{title}</p>
      {children}
    </div>
  );
}
