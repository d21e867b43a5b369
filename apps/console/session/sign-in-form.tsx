import { useState } from 'react';
import { giveSecondFactor, signIn } from '../api/account-api';
import type { Account } from '../generated';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { formErrorsOf } from '../parts/form-errors';
import { useMutation } from '../parts/use-mutation';
import { words } from '../words/words';

interface SignInFormProps {
  /** Given when it is clear who signs in again. */
  readonly email?: string;
  readonly onSignedIn: (account: Account) => void;
}

/** E-mail address and password, and then the code of the second factor for whom has one. */
export function SignInForm({ email, onSignedIn }: SignInFormProps) {
  const [codeAwaited, setCodeAwaited] = useState(false);
  const next = (account: Account) => {
    if (account.secondFactor === 'awaited') setCodeAwaited(true);
    else onSignedIn(account);
  };
  return codeAwaited ? <CodeForm onSignedIn={onSignedIn} onStartOver={() => setCodeAwaited(false)} /> : <PasswordForm knownEmail={email} onAnswer={next} />;
}

interface PasswordFormProps {
  readonly knownEmail: string | undefined;
  readonly onAnswer: (account: Account) => void;
}

function PasswordForm({ knownEmail, onAnswer }: PasswordFormProps) {
  const [email, setEmail] = useState(knownEmail ?? '');
  const [password, setPassword] = useState('');
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const signingIn = useMutation({
    mutationFn: signIn,
    onSuccess: onAnswer,
    onError: (error) => setErrors(formErrorsOf(error, { expected: { 'sign-in-refused': { fieldId: 'password', message: words.signIn.refused } } })),
  });
  const submit = () => {
    const missing = [
      ...(/.@./.test(email) ? [] : [{ fieldId: 'email', message: words.signIn.emailMissing }]),
      ...(password === '' ? [{ fieldId: 'password', message: words.signIn.passwordMissing }] : []),
    ];
    setErrors(missing);
    if (missing.length === 0) signingIn.mutate({ email, password });
  };
  return (
    <Form errors={errors} busy={signingIn.isPending} action={words.signIn.action} onSubmit={submit}>
      {knownEmail === undefined ? (
        <Field id="email" label={words.signIn.email} type="email" autoComplete="username" value={email} error={errorAt(errors, 'email')} onValue={setEmail} />
      ) : (
        <p>
          <strong>{knownEmail}</strong>
          <input type="hidden" autoComplete="username" value={knownEmail} readOnly />
        </p>
      )}
      <Field
        id="password" label={words.signIn.password} type="password" autoComplete="current-password" value={password}
        error={errorAt(errors, 'password')} onValue={setPassword}
      />
    </Form>
  );
}

interface CodeFormProps {
  readonly onSignedIn: (account: Account) => void;
  readonly onStartOver: () => void;
}

function CodeForm({ onSignedIn, onStartOver }: CodeFormProps) {
  const [code, setCode] = useState('');
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const giving = useMutation({
    mutationFn: giveSecondFactor,
    onSuccess: onSignedIn,
    onError: (error) => setErrors(formErrorsOf(error, { expected: { 'second-factor-wrong': { fieldId: 'code', message: words.signIn.codeRefused } } })),
  });
  const submit = () => {
    const missing = code.trim().length < 6 ? [{ fieldId: 'code', message: words.signIn.codeMissing }] : [];
    setErrors(missing);
    if (missing.length === 0) giving.mutate(code.trim());
  };
  return (
    <>
      <Form errors={errors} busy={giving.isPending} action={words.signIn.action} onSubmit={submit}>
        <Field
          id="code" label={words.signIn.code} hint={words.signIn.codeHint} autoComplete="one-time-code" autoFocus value={code}
          error={errorAt(errors, 'code')} onValue={setCode}
        />
      </Form>
      <div>
        <button type="button" className="button-plain" onClick={onStartOver}>
          {words.signIn.startOver}
        </button>
      </div>
    </>
  );
}
