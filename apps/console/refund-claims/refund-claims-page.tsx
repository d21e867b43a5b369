import { useInfiniteQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useSearchParams } from 'react-router';
import type { RefundClaim } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { Wide } from '../parts/wide';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { RefuseClaim, WithdrawClaim } from './end-claim';
import { EnterClaim } from './enter-claim';
import { refundClaimsQuery } from './queries';
import { outcomeOf, slipName } from './slip';

const text = words.refundClaims;
const states = ['open', 'taken-over', 'refused', 'withdrawn'] as const;
type Asked = { readonly what: 'refuse' | 'withdraw'; readonly claim: RefundClaim };

/** `collections/refunds`: slips that sites entered; the open ones first, which no collection has taken over yet. */
export function RefundClaimsPage() {
  const { may } = useOperator();
  const [parameters, setParameters] = useSearchParams();
  const [isEntering, setEntering] = useState(false);
  if (!may('refund-claim.read')) return <Denied title={text.title} />;
  const shown = states.find((each) => each === parameters.get('state')) ?? (parameters.get('state') === 'all' ? 'all' : 'open');
  const enter = (
    <button type="button" className="button button-main" onClick={() => setEntering(true)}>
      {text.enter}
    </button>
  );
  return (
    <Page title={text.title} lead={text.lead} actions={may('refund-claim.enter') ? enter : undefined}>
      <div className="form">
        <SelectField
          id="refund-claim-state" label={text.show} value={shown} onValue={(state) => setParameters(state === 'open' ? {} : { state })}
          options={[...states.map((state) => ({ value: state, text: text.states[state] })), { value: 'all', text: text.all }]}
        />
      </div>
      <Claims key={shown} state={shown === 'all' ? null : shown} />
      {isEntering ? <EnterClaim siteId={null} onClose={() => setEntering(false)} /> : null}
    </Page>
  );
}

function Claims({ state }: { readonly state: RefundClaim['state'] | null }) {
  const { api } = useOperator();
  const question = useInfiniteQuery(refundClaimsQuery(api, state === null ? {} : { state }));
  const [asked, setAsked] = useState<Asked | null>(null);
  const close = () => setAsked(null);
  return (
    <Answer question={{ ...question, data: question.data?.pages.flatMap((page) => page.items) }} lines={6}>
      {(claims) => (
        <>
          {claims.length === 0 ? (
            <p className="soft">{text.none}</p>
          ) : (
            <Wide title={text.title}>
              <table>
                <caption className="visually-hidden">{text.title}</caption>
                <thead>
                  <tr>
                    <th scope="col">{text.slipColumn}</th>
                    <th scope="col">{words.site}</th>
                    <th scope="col" className="figure">{words.refundClaims.amountColumn}</th>
                    <th scope="col">{words.state}</th>
                    <th scope="col">{words.commands}</th>
                  </tr>
                </thead>
                <tbody>
                  {claims.map((claim) => (
                    <ClaimRow key={claim.id} claim={claim} onAsk={(what) => setAsked({ what, claim })} />
                  ))}
                </tbody>
              </table>
            </Wide>
          )}
          <More question={question} />
          {asked?.what === 'refuse' ? <RefuseClaim claim={asked.claim} onClose={close} /> : null}
          {asked?.what === 'withdraw' ? <WithdrawClaim claim={asked.claim} onClose={close} /> : null}
        </>
      )}
    </Answer>
  );
}

function ClaimRow({ claim, onAsk }: { readonly claim: RefundClaim; readonly onAsk: (what: Asked['what']) => void }) {
  const { may, to } = useOperator();
  const nameOf = useActorName();
  const { siteId, siteName, amount, reason, state, takenOver, alikePresentedOn, maybeInSum, recordedBy } = claim;
  const outcome = outcomeOf(claim);
  const commands = (['refuse', 'withdraw'] as const).filter((what) => may(`refund-claim.${what}`, state));
  return (
    <tr>
      <th scope="row" className="sentence">
        {slipName(claim)}
        <div className="soft small">{`${reason}, ${text.enteredBy(nameOf(recordedBy))}`}</div>
      </th>
      <td>
        <Link to={to(`sites/${siteId}`)}>{siteName}</Link>
      </td>
      <td className="figure">
        <Amount money={amount} />
      </td>
      <td>
        {takenOver === null || takenOver.collectionId === null ? outcome : <Link to={to(`collections/${takenOver.collectionId}`)}>{outcome}</Link>}
        {alikePresentedOn === null ? null : <div className="soft small">{(state === 'open' ? text.alike : text.alikeToo)(formatDay(alikePresentedOn, locale))}</div>}
        {maybeInSum === null ? null : <div className="soft small">{text.inSum({ day: formatDay(maybeInSum.collectedOn, locale), amount: formatMoney(maybeInSum.amount, locale) })}</div>}
      </td>
      <td>
        <div className="row">
          {state === 'open'
            ? commands.map((what) => (
                <button key={what} type="button" className="button button-small" onClick={() => onAsk(what)}>
                  {text[what]}
                  <span className="visually-hidden">{` ${slipName(claim)}`}</span>
                </button>
              ))
            : null}
        </div>
      </td>
    </tr>
  );
}
