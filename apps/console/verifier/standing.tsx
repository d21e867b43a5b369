import { standingAddress } from '#statement/verify/standing-question';
import type { VerifiedStatement } from '#statement/verify/verify-statement';
import type { VerifierWords } from '#statement/verify/words';

type Shown = { readonly text: VerifierWords['page']['standing']; readonly statement: VerifiedStatement; readonly fingerprint: string | undefined };

/**
 * Whether the statement was reversed, or its certificate revoked, since: a step of its own, as only the operator can say it. This page may not connect to
 * anything, so the question is a page of the server; from a disk it is said where that is.
 */
export function Standing({ text, statement: { standingQuestion: question, document }, fingerprint }: Shown) {
  const isServed = window.location.protocol.startsWith('http');
  const server = isServed ? window.location.origin : originOf(document.verificationAddress);
  const address = question === undefined || server === undefined ? undefined : standingAddress({ server, question, fingerprint });
  return (
    <div className="stack signer">
      <h3>{text.title}</h3>
      <p>{text.onlyOperator}</p>
      {address === undefined ? (
        <p>{text.askThem}</p>
      ) : isServed ? (
        <p>
          <a href={address} target="_blank" rel="noreferrer">
            {text.ask}
          </a>
        </p>
      ) : (
        <p>
          {text.openThere}
          <br />
          <code className="fingerprint">{address}</code>
        </p>
      )}
    </div>
  );
}

function originOf(address: string | undefined): string | undefined {
  return address !== undefined && URL.canParse(address) ? new URL(address).origin : undefined;
}
