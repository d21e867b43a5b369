import { troubleOf, type Trouble } from '../api/problem';
import { words } from '../words/words';
import { describe } from './describe-trouble';

interface TroubleNoticeProps {
  readonly error: unknown;
  /** Offered as "try again". */
  readonly onRetry?: () => void;
}

/** Says what went wrong and what to do about it, where the answer would have stood. */
export function TroubleNotice({ error, onRetry }: TroubleNoticeProps) {
  const trouble = troubleOf(error);
  // Anything else than trouble with a request is a bug: it must reach the page's error boundary, not look like one.
  if (trouble === null) throw error;
  const { title, text, inEnglish, requestId } = describe(trouble);
  return (
    <div role="alert" className="notice notice-alarm">
      <strong>{title}</strong>
      {text.map((sentence) => (
        <p key={sentence}>{`${sentence}.`}</p>
      ))}
      <InEnglish sentences={inEnglish} />
      {requestId === null ? null : <p className="small">{words.trouble.requestId(requestId)}</p>}
      {onRetry === undefined || isFinal(trouble) ? null : (
        <div>
          <button type="button" className="button button-small" onClick={onRetry}>
            {words.trouble.again}
          </button>
        </div>
      )}
    </div>
  );
}

/** Asking again would bring the same answer. */
function isFinal(trouble: Trouble): boolean {
  return trouble.kind === 'refused' && (trouble.problem.status === 403 || trouble.problem.status === 404);
}

/** What the api alone says, marked as the language that it is in. */
export function InEnglish({ sentences }: { readonly sentences: readonly string[] }) {
  return sentences.map((sentence) => (
    <p key={sentence} className="soft small">
      {`${words.trouble.inEnglish} `}
      <span lang="en">{`${sentence}.`}</span>
    </p>
  ));
}
