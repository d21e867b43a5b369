import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { RefundClaim } from '../api/shapes';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Answer } from '../parts/answer';
import { More } from '../parts/more';
import { useOperator } from '../session/operator';
import { machinesAtQuery } from '../sites/queries';
import { words } from '../words/words';
import { EnterClaim } from './enter-claim';
import { WithdrawClaim } from './end-claim';
import styles from './own-claims.module.css';
import { refundClaimsQuery } from './queries';
import { outcomeOf, slipName } from './slip';

const text = words.refundClaims;

/** Slips of one's own site: entered here, and what became of them. */
export function OwnRefundClaims({ siteId }: { readonly siteId: string }) {
  const { api, may } = useOperator();
  const question = useInfiniteQuery({ ...refundClaimsQuery(api, { siteId }), enabled: may('refund-claim.read') });
  const machines = useQuery({ ...machinesAtQuery(api, siteId), enabled: may('machine.read') });
  const [isEntering, setEntering] = useState(false);
  const [withdrawn, setWithdrawn] = useState<RefundClaim | null>(null);
  return (
    <section className="section" aria-labelledby="refund-claims">
      <h2 id="refund-claims">{text.ownTitle}</h2>
      <p className="soft">{text.ownLead}</p>
      <div>
        <button type="button" className="button" onClick={() => setEntering(true)}>
          {text.enter}
        </button>
      </div>
      <Answer question={{ ...question, data: question.data?.pages.flatMap((page) => page.items) }} lines={3}>
        {(claims) =>
          claims.length === 0 ? (
            <p className="soft">{text.none}</p>
          ) : (
            <>
              <ul className={styles.claims}>
                {claims.map((claim) => (
                  <OwnClaim key={claim.id} claim={claim} kind={machines.data?.find(({ tag }) => tag === claim.machineTag)?.kind ?? null} onWithdraw={() => setWithdrawn(claim)} />
                ))}
              </ul>
              <More question={question} />
            </>
          )
        }
      </Answer>
      {isEntering ? <EnterClaim siteId={siteId} onClose={() => setEntering(false)} /> : null}
      {withdrawn === null ? null : <WithdrawClaim claim={withdrawn} onClose={() => setWithdrawn(null)} />}
    </section>
  );
}

interface OwnClaimProps {
  readonly claim: RefundClaim;
  /** What sort of machine it is, by which people there know it; null where it is not there any more. */
  readonly kind: string | null;
  readonly onWithdraw: () => void;
}

function OwnClaim({ claim, kind, onWithdraw }: OwnClaimProps) {
  const { may, to } = useOperator();
  const { state, amount, reason, takenOver } = claim;
  const outcome = outcomeOf(claim);
  return (
    <li>
      <div>{slipName(claim)}</div>
      <div className={styles.amount}>{formatMoney(amount, locale)}</div>
      <div className="soft small">
        {kind === null ? null : <div>{words.machineKind(kind)}</div>}
        <div>{reason}</div>
        <div>{takenOver === null || takenOver.collectionId === null ? outcome : <Link to={to(`collections/${takenOver.collectionId}`)}>{outcome}</Link>}</div>
      </div>
      {state === 'open' && may('refund-claim.withdraw', state) ? (
        <button type="button" className="button button-small" onClick={onWithdraw}>
          {text.withdraw}
          <span className="visually-hidden">{` ${slipName(claim)}`}</span>
        </button>
      ) : null}
    </li>
  );
}
