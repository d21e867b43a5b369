import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { readStandingAddress } from '#statement/verify/standing-question';
import { standingSentences, verifierWordsOf } from '#statement/verify/words';
import { askStanding } from '../api/account-api';
import { formatDay, formatInstant } from '../format/day';
import { localeOf } from '../format/locale-of';
import type { StatementStanding } from '../generated';
import { Answer } from '../parts/answer';
import { Page } from '../parts/page';
import styles from '../session/sign-in.module.css';

/** Whoever asks has no account: in the language of their browser, as the page that led here. */
const words = verifierWordsOf(...navigator.languages);
const text = words.standingPage;
const locale = localeOf(words.language);

/** `statement-standing#digest.fingerprint`: where whoever checked a statement is told, without signing in, whether it was reversed, or its certificate revoked, since. */
export function StandingPage() {
  // Behind the hash, which a browser sends to no server and no log gets to see.
  const [asked] = useState(() => readStandingAddress(window.location.hash));
  const question = useQuery({
    queryKey: ['standing', asked],
    queryFn: ({ signal }) => askStanding(asked ?? { digest: '' }, signal),
    enabled: asked !== undefined,
    staleTime: 0,
  });
  return (
    <div className={styles.frame} lang={words.language}>
      <Page title={text.title} lead={text.lead}>
        {asked === undefined ? <p>{text.noQuestion}</p> : <Answer question={question}>{(found) => <Standing found={found} />}</Answer>}
      </Page>
    </div>
  );
}

function Standing({ found }: { readonly found: StatementStanding }) {
  const { reversedOn, revokedFrom } = found;
  const sentences = standingSentences({
    ...found,
    reversedOn: reversedOn === null ? null : formatDay(reversedOn, locale),
    revokedFrom: revokedFrom === null ? '' : formatInstant(revokedFrom, locale),
  }, words);
  return (
    <div className="stack">
      <div className="notice stack" role="status">
        {sentences.map((sentence) => (
          <p key={sentence}>{sentence}</p>
        ))}
      </div>
      <p>{text.caution}</p>
    </div>
  );
}
