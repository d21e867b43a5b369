import { useId, useState } from 'react';
import { roles, scopes as allScopes, type Scope } from '#domain/permissions/role';
import type { CreatedApiToken } from '../api/shapes';
import { dayOf } from '../format/day';
import { Dialog } from '../parts/dialog';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { apiTokensQuery } from './queries';
import styles from './access.module.css';

interface MakeTokenProps {
  readonly onMade: (token: CreatedApiToken) => void;
  readonly onClose: () => void;
}

type TokenRole = CreatedApiToken['role'];
/** A site manager is bound to sites, and a token is bound to none. */
const tokenRoles = roles.filter((role): role is TokenRole => role !== 'site-manager');

const USUAL_LIFE_DAYS = 365;
const DAY_MS = 86_400_000;

/** Asks for what a program may do and until when, and makes its token. */
export function MakeToken({ onMade, onClose }: MakeTokenProps) {
  const { api } = useOperator();
  const id = useId();
  const [name, setName] = useState('');
  const [role, setRole] = useState<TokenRole>('bookkeeper');
  const [scopes, setScopes] = useState<readonly Scope[]>(['read']);
  const [until, setUntil] = useState(() => dayOf(new Date(Date.now() + USUAL_LIFE_DAYS * DAY_MS)));
  const fields = { name: `${id}-name`, role: `${id}-role`, scopes: `${id}-${allScopes[0]}`, expiresAt: `${id}-until` };
  const { errors, busy, submit } = useSending({ send: api.makeApiToken, fields, changes: [apiTokensQuery(api).queryKey], onDone: onMade });
  const text = words.tokens;
  const send = () =>
    submit({ name: name.trim(), role, scopes: [...scopes], expiresAt: until === '' ? '' : endOf(until) }, [
      unless(name.trim() !== '', fields.name, text.nameMissing),
      unless(scopes.length > 0, fields.scopes, text.scopeMissing),
      unless(until !== '', fields.expiresAt, text.expiresMissing),
    ]);
  return (
    <Dialog title={text.makeTitle} onClose={onClose} canClose={!busy}>
      <Form errors={errors} busy={busy} action={text.make} onSubmit={send}>
        <Field id={fields.name} label={text.nameLabel} hint={text.nameHint} autoComplete="off" error={errorAt(errors, fields.name)} value={name} onValue={setName} />
        <div className="field">
          <label htmlFor={fields.role}>{text.role}</label>
          <span id={`${fields.role}-hint`} className="field-hint">
            {text.roleHint}
          </span>
          <select id={fields.role} value={role} aria-describedby={`${fields.role}-hint`} onChange={(event) => setRole(event.currentTarget.value as TokenRole)}>
            {tokenRoles.map((each) => (
              <option key={each} value={each}>
                {words.people.roleTitle(words.roles[each])}
              </option>
            ))}
          </select>
        </div>
        <ScopeChoice id={id} scopes={scopes} error={errorAt(errors, fields.scopes)} onScopes={setScopes} />
        <Field id={fields.expiresAt} type="date" label={text.expiresLabel} hint={text.expiresHint} error={errorAt(errors, fields.expiresAt)} value={until} onValue={setUntil} />
      </Form>
      <div>
        <button type="button" className="button" onClick={onClose} disabled={busy}>
          {words.cancel}
        </button>
      </div>
    </Dialog>
  );
}

interface ScopeChoiceProps {
  readonly id: string;
  readonly scopes: readonly Scope[];
  readonly error: string | undefined;
  readonly onScopes: (scopes: readonly Scope[]) => void;
}

function ScopeChoice({ id, scopes, error, onScopes }: ScopeChoiceProps) {
  const text = words.tokens;
  return (
    <fieldset className={styles.choices}>
      <legend>{text.scopes}</legend>
      {error === undefined ? null : <span className="field-error">{error}</span>}
      {allScopes.map((scope) => (
        <label key={scope}>
          <input
            id={`${id}-${scope}`} type="checkbox" checked={scopes.includes(scope)}
            onChange={(event) => onScopes(event.currentTarget.checked ? [...scopes, scope] : scopes.filter((each) => each !== scope))}
          />
          {text.scopeMeans[scope]}
        </label>
      ))}
    </fieldset>
  );
}

/** The last moment of a day of the reader's. */
function endOf(day: string): string {
  return new Date(`${day}T23:59:59`).toISOString();
}
