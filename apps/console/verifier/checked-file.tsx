import { useId } from 'react';
import { isFingerprint, readableFingerprint } from '#statement/verify/fingerprint';
import { summaryOf } from '#statement/verify/report';
import type { Finding, Verdict } from '#statement/verify/verify-statement';
import { sentenceOf, verifierWordsOf, type VerifierWords } from '#statement/verify/words';
import { Standing } from './standing';

type Shown = {
  readonly name: string;
  /** Of the page around it, where the file does not say in which language its receiver reads. */
  readonly around: VerifierWords;
  readonly verdict: Verdict;
  /** What stands in the field now, and what was kept before. */
  readonly given: string;
  readonly kept: readonly string[];
  readonly onGiven: (typed: string) => void;
  readonly onKeep: (fingerprint: string) => void;
};

/** In the language of the statement. */
export function CheckedFile({ name, around, verdict, given, kept, onGiven, onKeep }: Shown) {
  const { statement, findings, signature } = verdict;
  const isSame = signature === undefined ? undefined : isKnown(signature.certificateFingerprint, { given, kept });
  const words = statement === undefined ? around : verifierWordsOf(statement.document.locale);
  const isFirst = statement?.earlierHead === undefined;
  const outcome = outcomeOf(findings, isSame);
  return (
    <section className="sheet stack" aria-label={name} lang={words.language}>
      <header className="stack">
        <p className="file-name">{name}</p>
        <h2 className={`outcome outcome-${outcome}`}>{words.page.outcome[outcome]}</h2>
      </header>
      {statement !== undefined && (
        <dl className="summary">
          {summaryOf(statement, words).map(({ label, value }) => (
            <div key={label}>
              <dt>{label}</dt>
              <dd>{value}</dd>
            </div>
          ))}
        </dl>
      )}
      <ul className="findings">
        {findings.map((finding) => (
          <li key={finding.check} className={`finding finding-${String(finding.holds)}`}>
            <span className="finding-mark">{words.page.mark[`${finding.holds}`]}</span>
            <span>
              <b>{words.checks[finding.check].title}</b> {sentenceOf(finding, { isFirst, words })}
            </span>
          </li>
        ))}
      </ul>
      {signature !== undefined && (
        <Signer
          text={words.page.signer}
          name={signature.signerName}
          fingerprint={signature.certificateFingerprint}
          given={given}
          kept={kept}
          isSame={isSame}
          onGiven={onGiven}
          onKeep={onKeep}
        />
      )}
      {statement !== undefined && <Standing text={words.page.standing} statement={statement} fingerprint={signature?.certificateFingerprint} />}
    </section>
  );
}

/** By what is typed; while nothing is, by what was kept. Undefined while neither tells. */
function isKnown(fingerprint: string, { given, kept }: { readonly given: string; readonly kept: readonly string[] }): boolean | undefined {
  if (given.trim() !== '') return isFingerprint(given, fingerprint);
  return kept.length === 0 ? undefined : kept.includes(fingerprint);
}

/** What fails outweighs what cannot be told; another signer outweighs that all the rest holds. */
function outcomeOf(findings: readonly Finding[], isSame: boolean | undefined): 'holds' | 'holdsIf' | 'fails' | 'open' | 'otherSigner' {
  if (findings.some(({ holds }) => holds === false)) return 'fails';
  if (isSame === false) return 'otherSigner';
  if (!findings.every(({ holds }) => holds === true)) return 'open';
  return isSame === true ? 'holds' : 'holdsIf';
}

type SignerShown = {
  readonly text: VerifierWords['page']['signer'];
  readonly name: string;
  readonly fingerprint: string;
  readonly given: string;
  readonly kept: readonly string[];
  readonly isSame: boolean | undefined;
  readonly onGiven: (typed: string) => void;
  readonly onKeep: (fingerprint: string) => void;
};

function Signer({ text: signer, name, fingerprint, given, kept, isSame, onGiven, onKeep }: SignerShown) {
  const fieldId = useId();
  const isTyped = given.trim() !== '';
  const isKept = kept.includes(fingerprint);
  const differs = isTyped ? signer.other : signer.noneOfKept;
  const answer = isSame === true ? (isKept ? signer.pinned : signer.same) : isSame === false ? differs : isTyped ? signer.unfit : signer.none;
  return (
    <div className="stack signer">
      <h3>{signer.title}</h3>
      <p>{signer.calls(name)}</p>
      <p>
        {signer.fingerprint}
        <br />
        <code className="fingerprint">{readableFingerprint(fingerprint)}</code>
      </p>
      <div className="field">
        <label htmlFor={fieldId}>{signer.given}</label>
        <span className="field-help" id={`${fieldId}-help`}>
          {signer.help}
        </span>
        <input id={fieldId} value={given} aria-describedby={`${fieldId}-help ${fieldId}-answer`} autoComplete="off" spellCheck={false} onChange={(event) => onGiven(event.target.value)} />
      </div>
      <p id={`${fieldId}-answer`} role="status" className={isSame === false ? 'answer-other' : ''}>
        {answer}
      </p>
      {isSame === true && !isKept && (
        <div>
          <button type="button" className="button" onClick={() => onKeep(fingerprint)}>
            {signer.keep}
          </button>
        </div>
      )}
    </div>
  );
}
