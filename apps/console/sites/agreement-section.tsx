import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import { ChangeAgreement } from '../agreements/change-agreement';
import { EndAgreement } from '../agreements/end-agreement';
import type { Agreement } from '../api/shapes';
import { dayOf, formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { words } from '../words/words';
import { holdsOf } from './holds';
import { agreementsOfQuery, versionsOfQuery } from './queries';
import styles from './sites.module.css';

const text = words.agreements;

/** What operator and site have agreed on, in plain words. */
export function AgreementSection({ siteId }: { readonly siteId: string }) {
  const { api, may, to } = useOperator();
  const question = useQuery(agreementsOfQuery(api, siteId));
  return (
    <section className="section" aria-labelledby="agreement">
      <h2 id="agreement">{words.sites.agreement}</h2>
      <Answer question={question} lines={3}>
        {({ items }) => (items.length === 0 ? <Blank title={words.sites.noAgreement} /> : items.map((each) => <OneAgreement key={each.id} agreement={each} />))}
      </Answer>
      <div className="row">
        {may('agreement.create') && question.isSuccess && question.data.items.every(({ endedOn }) => endedOn !== null) ? (
          <Link to={to(`agreements/new?site=${siteId}`)} className="button">
            {text.agree}
          </Link>
        ) : null}
        {may('what-if.preview') ? <Link to={to(`what-if?site=${siteId}`)}>{words.whatIf.link}</Link> : null}
      </div>
    </section>
  );
}

/** Its terms, the latest first; where there are several versions, each says from when it holds. */
function OneAgreement({ agreement }: { readonly agreement: Agreement }) {
  const { api, may, to } = useOperator();
  const [wish, setWish] = useState<'change' | 'end' | null>(null);
  const question = useQuery(versionsOfQuery(api, agreement.id));
  const { partyId, partyName, startedOn, endedOn } = agreement;
  const says = words.sites.agreedWith(partyName, formatDay(startedOn, locale), endedOn === null ? null : formatDay(endedOn, locale));
  return (
    <div className="stack">
      <p className="soft">{may('party.read') ? <Link to={to(`parties/${partyId}`)}>{says}</Link> : says}</p>
      <Answer question={question} lines={3}>
        {({ items }) =>
          items.map(({ id, effectiveFrom, sentences }) => (
            <div key={id} className="stack">
              {items.length > 1 ? <h3>{words.sites.termsFrom({ day: formatDay(effectiveFrom, locale), holds: holdsOf(effectiveFrom, { versions: items, endedOn, today: dayOf(new Date()) }) })}</h3> : null}
              <ul className={styles.sentences}>
                {sentences.map((sentence) => (
                  <li key={sentence}>{sentence}</li>
                ))}
              </ul>
            </div>
          ))
        }
      </Answer>
      <div className="row">
        {endedOn === null && may('agreement.change') ? (
          <Link to={to(`agreements/${agreement.id}/terms`)} className="button button-small">
            {text.otherTerms}
          </Link>
        ) : null}
        {may('agreement.change') ? <OpenButton about={agreement.code} onClick={() => setWish('change')}>{text.change}</OpenButton> : null}
        {endedOn === null && may('agreement.end') ? <OpenButton onClick={() => setWish('end')}>{text.end}</OpenButton> : null}
      </div>
      {wish === 'change' ? <ChangeAgreement agreement={agreement} onClose={() => setWish(null)} /> : null}
      {wish === 'end' ? <EndAgreement agreement={agreement} onClose={() => setWish(null)} /> : null}
    </div>
  );
}
