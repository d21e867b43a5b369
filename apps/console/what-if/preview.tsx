import type { Member } from '../terms/draft';
import { words } from '../words/words';

/** What is typed, in the sentences that would be signed. */
export function Preview({ said }: { readonly said: readonly (readonly [Member, readonly string[]])[] | null }) {
  const text = words.whatIf;
  return (
    <div className="notice" role="group" aria-label={text.wouldRead}>
      <h3>{text.wouldRead}</h3>
      {said === null ? <p>{text.finish}</p> : null}
      <ul>
        {said?.map(([member, sentences]) => (
          <li key={member}>{sentences.length === 0 ? words.terms.unsaid[member] : sentences.join(' ')}</li>
        ))}
      </ul>
    </div>
  );
}
