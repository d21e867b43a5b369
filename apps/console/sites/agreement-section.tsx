import { useQuery } from '@tanstack/react-query';
import type { Agreement } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { agreementsOfQuery, versionsOfQuery } from './queries';
import styles from './sites.module.css';

/** What operator and site have agreed on, in plain words. */
export function AgreementSection({ siteId }: { readonly siteId: string }) {
  const { api } = useOperator();
  const question = useQuery(agreementsOfQuery(api, siteId));
  return (
    <section className="section" aria-labelledby="agreement">
      <h2 id="agreement">{words.sites.agreement}</h2>
      <Answer question={question} lines={3}>
        {({ items }) => (items.length === 0 ? <Blank title={words.sites.noAgreement} /> : items.map((each) => <OneAgreement key={each.id} agreement={each} />))}
      </Answer>
    </section>
  );
}

/** Its terms, the present ones first; where there are several versions, each says from when it holds. */
function OneAgreement({ agreement }: { readonly agreement: Agreement }) {
  const { api } = useOperator();
  const question = useQuery(versionsOfQuery(api, agreement.id));
  const { partyName, startedOn, endedOn } = agreement;
  return (
    <div className="stack">
      <p className="soft">{words.sites.agreedWith(partyName, formatDay(startedOn, locale), endedOn === null ? null : formatDay(endedOn, locale))}</p>
      <Answer question={question} lines={3}>
        {({ items }) =>
          items.map(({ id, effectiveFrom, sentences }) => (
            <div key={id} className="stack">
              {items.length > 1 ? <h3>{words.sites.termsFrom(formatDay(effectiveFrom, locale))}</h3> : null}
              <ul className={styles.sentences}>
                {sentences.map((sentence) => (
                  <li key={sentence}>{sentence}</li>
                ))}
              </ul>
            </div>
          ))
        }
      </Answer>
    </div>
  );
}
