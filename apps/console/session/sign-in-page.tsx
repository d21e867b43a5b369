import { useQueryClient } from '@tanstack/react-query';
import { useNavigate, useSearchParams } from 'react-router';
import { LanguageChoice } from '../frame/language-choice';
import { Page } from '../parts/page';
import { words } from '../words/words';
import { accountKey } from './account';
import { SignInForm } from './sign-in-form';
import styles from './sign-in.module.css';

export function SignInPage() {
  const client = useQueryClient();
  const navigate = useNavigate();
  const [search] = useSearchParams();
  return (
    <div className={styles.frame}>
      <Page title={words.signIn.title} lead={words.signIn.lead}>
        <SignInForm
          onSignedIn={(account) => {
            client.setQueryData(accountKey, account);
            void navigate(ownAddress(search.get('then')), { replace: true });
          }}
        />
        <LanguageChoice />
      </Page>
    </div>
  );
}

/** Only a path of this console: `//elsewhere.example` and `/\elsewhere.example` would leave it. */
function ownAddress(then: string | null): string {
  return then !== null && /^\/(?![/\\])/.test(then) ? then : '/';
}
