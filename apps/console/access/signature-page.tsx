import { queryOptions, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { readableFingerprint } from '#statement/verify/fingerprint';
import { dayOf, formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { BringCertificateDialog } from './bring-certificate';
import { attentionInWords } from './certificate-notice';
import { certificatesQuery } from './queries';
import { Revocation } from './revocation';
import styles from './access.module.css';

/** Where the page lies by which anybody checks a statement. */
const VERIFIER_ADDRESS = '/verifier.html';

/** The digest that was published with the page by which receivers check statements; null where no page is served. */
const verifierQuery = queryOptions({
  queryKey: ['verifier-digest'],
  queryFn: async ({ signal }) => {
    const answer = await fetch(`${VERIFIER_ADDRESS}.sha256`, { signal });
    const digest = (await answer.text()).slice(0, 64);
    return answer.ok && /^[0-9a-f]{64}$/.test(digest) ? digest : null;
  },
});

/** `signature`: the sheet that a site gets when it joins. With it, its people know a genuine statement without asking anybody. */
export function SignaturePage() {
  const { api, may, membership } = useOperator();
  const allowed = may('signing-key.read');
  const question = useQuery({ ...certificatesQuery(api), enabled: allowed });
  const verifier = useQuery({ ...verifierQuery, enabled: allowed });
  const [bringing, setBringing] = useState(false);
  const text = words.certificates;
  if (!allowed) return <Denied title={words.signature.title} />;
  return (
    <Page
      title={words.signature.title}
      lead={text.lead(membership.name)}
      actions={
        <div className="row">
          <button type="button" className="button button-main" onClick={() => window.print()}>
            {text.print}
          </button>
          {may('signing-key.change') ? (
            <button type="button" className="button" onClick={() => setBringing(true)}>
              {text.bring.open}
            </button>
          ) : null}
        </div>
      }
    >
      <Answer question={question} lines={4}>
        {({ items: certificates, attention }) =>
          certificates.length === 0 ? (
            <Blank title={text.none} />
          ) : (
            <div className="stack">
              {attention === null ? null : <p className={`notice no-print ${attention.why === 'ends-soon' ? '' : 'notice-alarm'}`}>{attentionInWords(attention)}</p>}
              {certificates.map((certificate) => (
                <section key={certificate.id} className="stack">
                  <h2>{certificate.revocation !== null ? text.revoked : certificate.inUse ? text.inUse : isLater(certificate.inUseFrom) ? text.later(formatDay(dayOf(new Date(certificate.inUseFrom)), locale)) : text.before}</h2>
                  <p>{text.valid(formatDay(dayOf(new Date(certificate.validFrom)), locale), formatDay(dayOf(new Date(certificate.validTo)), locale))}</p>
                  <p className={styles.fingerprint}>{readableFingerprint(certificate.fingerprint)}</p>
                  <Revocation certificate={certificate} />
                </section>
              ))}
              <section className="stack">
                <h2>{text.how}</h2>
                <p>{text.steps}</p>
                <p>
                  <a href={VERIFIER_ADDRESS}>{new URL(VERIFIER_ADDRESS, window.location.href).href}</a>
                </p>
                {verifier.data === undefined || verifier.data === null ? null : (
                  <>
                    <p>{text.digest}</p>
                    <p className={styles.fingerprint}>{readableFingerprint(verifier.data)}</p>
                  </>
                )}
              </section>
            </div>
          )
        }
      </Answer>
      {bringing ? <BringCertificateDialog onClose={() => setBringing(false)} /> : null}
    </Page>
  );
}

/** It signs from a later day on; its fingerprint goes to the sites before that. */
function isLater(inUseFrom: string): boolean {
  return new Date(inUseFrom).getTime() > Date.now();
}
