import type { Trouble } from '../api/problem';
import { troubleOf } from '../api/problem';
import { words } from '../words/words';

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
  const { title, text, requestId } = describe(trouble);
  return (
    <div role="alert" className="notice notice-alarm">
      <strong>{title}</strong>
      {text.map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      {requestId === null ? null : <p className="small">{words.trouble.requestId(requestId)}</p>}
      {onRetry === undefined || isDenial(trouble) ? null : (
        <div>
          <button type="button" className="button button-small" onClick={onRetry}>
            {words.trouble.again}
          </button>
        </div>
      )}
    </div>
  );
}

export interface Described {
  readonly title: string;
  readonly text: readonly string[];
  readonly requestId: string | null;
}

export function describe(trouble: Trouble): Described {
  if (trouble.kind === 'unreachable') return { title: words.trouble.unreachable, text: [words.trouble.unreachableAdvice], requestId: null };
  if (trouble.kind === 'unreadable') return { title: words.trouble.unreadable, text: [words.trouble.unreadableAdvice], requestId: null };
  const { title, detail, advice, requestId, errors, status } = trouble.problem;
  const fields = errors?.map((each) => each.message) ?? [];
  const said = [...(detail === undefined ? [] : [detail]), ...fields, advice];
  return { title, text: said, requestId: status >= 500 ? requestId : null };
}

export function isDenial(trouble: Trouble): boolean {
  return trouble.kind === 'refused' && (trouble.problem.status === 403 || trouble.problem.status === 404);
}
