import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { giveSecondFactor, signIn } from '../api/account-api';
import { codeOf, troubleOf } from '../api/problem';
import type { Account } from '../api/shapes';
import { ErrorSummary, type FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { describe } from '../parts/trouble';
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
    onError: (error) => setErrors([refusal(error, { code: 'sign-in-refused', fieldId: 'password', message: words.signIn.refused })]),
  });
  const submit = () => {
    const missing = [
      ...(/.@./.test(email) ? [] : [{ fieldId: 'email', message: words.signIn.emailMissing }]),
      ...(password === '' ? [{ fieldId: 'password', message: words.signIn.passwordMissing }] : []),
    ];
    setErrors(missing);
    if (missing.length === 0) signingIn.mutate({ email, password });
  };
  const errorOf = (fieldId: string) => errors.find((each) => each.fieldId === fieldId)?.message;
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (!signingIn.isPending) submit();
      }}
    >
      <ErrorSummary errors={errors} />
      <Field
        id="email" label={words.signIn.email} type="email" autoComplete="username" value={email}
        readOnly={knownEmail !== undefined} error={errorOf('email')} onValue={setEmail}
      />
      <Field
        id="password" label={words.signIn.password} type="password" autoComplete="current-password" value={password}
        error={errorOf('password')} onValue={setPassword}
      />
      <SubmitButton busy={signingIn.isPending} text={words.signIn.action} />
    </form>
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
    onError: (error) => setErrors([refusal(error, { code: 'second-factor-wrong', fieldId: 'code', message: words.signIn.codeRefused })]),
  });
  const submit = () => {
    const missing = code.trim().length < 6 ? [{ fieldId: 'code', message: words.signIn.codeMissing }] : [];
    setErrors(missing);
    if (missing.length === 0) giving.mutate(code);
  };
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (!giving.isPending) submit();
      }}
    >
      <ErrorSummary errors={errors} />
      <Field
        id="code" label={words.signIn.code} hint={words.signIn.codeHint} inputMode="text" autoComplete="one-time-code" autoFocus
        value={code} error={errors.find((each) => each.fieldId === 'code')?.message} onValue={setCode}
      />
      <SubmitButton busy={giving.isPending} text={words.signIn.action} />
      <div>
        <button type="button" className="button-plain" onClick={onStartOver}>
          {words.signIn.startOver}
        </button>
      </div>
    </form>
  );
}

function SubmitButton({ busy, text }: { readonly busy: boolean; readonly text: string }) {
  return (
    <div>
      <button type="submit" className="button button-main" aria-disabled={busy}>
        {busy ? words.working : text}
      </button>
    </div>
  );
}

/** One refusal as a line of the error summary: in the form's own words if it is the expected one. */
function refusal(error: unknown, expected: { code: string; fieldId: string; message: string }): FormError {
  const trouble = troubleOf(error);
  if (trouble === null) throw error;
  if (codeOf(error) === expected.code) return { fieldId: expected.fieldId, message: expected.message };
  const { title, text } = describe(trouble);
  return { fieldId: null, message: [title, ...text].join('. ') };
}
