import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { confirmSecondFactor, proposeSecondFactor, removeSecondFactor } from '../api/account-api';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { formErrorsOf } from '../parts/form-errors';
import { useMutation } from '../parts/use-mutation';
import { words } from '../words/words';
import { useAccount, useReplaceAccount } from './account';
import styles from './sign-in.module.css';

type Confirmed = Awaited<ReturnType<typeof confirmSecondFactor>>;

/** Sets a second factor up in two steps, or takes it away. */
export function SecondFactor() {
  const { secondFactor } = useAccount();
  const [proposed, setProposed] = useState<{ secret: string; address: string } | null>(null);
  const [confirmed, setConfirmed] = useState<Confirmed | null>(null);
  if (confirmed !== null) return <RecoveryCodes confirmed={confirmed} onKept={() => setConfirmed(null)} />;
  if (secondFactor === 'given') return <Remove />;
  if (proposed === null) return <Propose onProposed={setProposed} />;
  return <Confirm proposed={proposed} onConfirmed={setConfirmed} />;
}

function Propose({ onProposed }: { readonly onProposed: (proposed: { secret: string; address: string }) => void }) {
  const [password, setPassword] = useState('');
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const proposing = useMutation({ mutationFn: proposeSecondFactor, onSuccess: onProposed, onError: (error) => setErrors(formErrorsOf(error, factorTelling)) });
  return (
    <>
      <p>{words.account.factorLead}</p>
      <Form errors={errors} busy={proposing.isPending} action={words.account.setUpFactor} onSubmit={() => proposing.mutate(password)}>
        <Field
          id="factor-password" label={words.signIn.password} type="password" autoComplete="current-password" value={password}
          error={errorAt(errors, 'factor-password')} onValue={setPassword}
        />
      </Form>
    </>
  );
}

interface ConfirmProps {
  readonly proposed: { readonly secret: string; readonly address: string };
  readonly onConfirmed: (confirmed: Confirmed) => void;
}

function Confirm({ proposed, onConfirmed }: ConfirmProps) {
  const [code, setCode] = useState('');
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const confirming = useMutation({
    mutationFn: confirmSecondFactor,
    onSuccess: onConfirmed,
    onError: (error) => setErrors(formErrorsOf(error, factorTelling)),
  });
  return (
    <>
      <p>{words.account.scan}</p>
      <QrCode address={proposed.address} />
      <p>
        {words.account.orType} <code className={styles.secret}>{proposed.secret.replaceAll(/(.{4})(?=.)/g, '$1 ')}</code>
      </p>
      <Form errors={errors} busy={confirming.isPending} action={words.account.confirmFactor} onSubmit={() => confirming.mutate(code.trim())}>
        <Field
          id="factor-code" label={words.signIn.code} hint={words.account.codeHint} inputMode="numeric" autoComplete="one-time-code" value={code}
          error={errorAt(errors, 'factor-code')} onValue={setCode}
        />
      </Form>
    </>
  );
}

function QrCode({ address }: { readonly address: string }) {
  const picture = useQuery({
    queryKey: ['qr', address],
    gcTime: 0,
    queryFn: async () => (await import('qrcode')).toString(address, { type: 'svg', margin: 2 }),
  });
  return <img className={styles.qr} alt={words.account.qrCode} src={picture.data === undefined ? '' : `data:image/svg+xml,${encodeURIComponent(picture.data)}`} />;
}

/** Shown this one time, so the console goes on only when they have been kept. */
function RecoveryCodes({ confirmed, onKept }: { readonly confirmed: Confirmed; readonly onKept: () => void }) {
  const replaceAccount = useReplaceAccount();
  const goOn = () => {
    onKept();
    replaceAccount(confirmed.account);
  };
  return (
    <div className="notice" role="alert">
      <strong>{words.account.recoveryTitle}</strong>
      <p>{words.account.recoveryLead}</p>
      <ul className={styles.codes}>
        {confirmed.recoveryCodes.map((code) => (
          <li key={code}>
            <code>{code}</code>
          </li>
        ))}
      </ul>
      <div>
        <button type="button" className="button" onClick={goOn}>
          {words.account.recoveryKept}
        </button>
      </div>
    </div>
  );
}

function Remove() {
  const replaceAccount = useReplaceAccount();
  const [entered, setEntered] = useState({ password: '', code: '' });
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const removing = useMutation({
    mutationFn: removeSecondFactor,
    onSuccess: replaceAccount,
    onError: (error) => setErrors(formErrorsOf(error, factorTelling)),
  });
  return (
    <>
      <p>{words.account.factorOn}</p>
      <Form errors={errors} busy={removing.isPending} action={words.account.removeFactor} onSubmit={() => removing.mutate(entered)}>
        <Field
          id="factor-password" label={words.signIn.password} type="password" autoComplete="current-password" value={entered.password}
          error={errorAt(errors, 'factor-password')} onValue={(password) => setEntered({ ...entered, password })}
        />
        <Field
          id="factor-code" label={words.signIn.code} hint={words.signIn.codeHint} autoComplete="one-time-code" value={entered.code}
          error={errorAt(errors, 'factor-code')} onValue={(code) => setEntered({ ...entered, code })}
        />
      </Form>
    </>
  );
}

const factorTelling = {
  fields: { password: 'factor-password', code: 'factor-code' },
  expected: {
    'sign-in-refused': { fieldId: 'factor-password', message: words.account.currentWrong },
    'second-factor-wrong': { fieldId: 'factor-code', message: words.signIn.codeRefused },
  },
};
