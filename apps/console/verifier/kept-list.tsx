import { readableFingerprint } from '#statement/verify/fingerprint';
import type { VerifierWords } from '#statement/verify/words';

/** What is kept, so that what should not be can be taken away. */
export function KeptFingerprints({ text, kept, onForget }: { readonly text: VerifierWords['page']['kept']; readonly kept: readonly string[]; readonly onForget: (fingerprint: string) => void }) {
  if (kept.length === 0) return null;
  return (
    <section className="stack" aria-label={text.title}>
      <h2>{text.title}</h2>
      <ul className="stack">
        {kept.map((fingerprint, index) => (
          <li key={fingerprint} className="stack">
            <code className="fingerprint">{readableFingerprint(fingerprint)}</code>
            <div>
              <button type="button" className="button" onClick={() => onForget(fingerprint)}>
                {text.forget(index + 1)}
              </button>
            </div>
          </li>
        ))}
      </ul>
    </section>
  );
}
