import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { ApiToken, CreatedApiToken } from '../api/shapes';
import { dayOf, formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { Confirm } from '../parts/confirm';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { ShownOnce } from '../parts/shown-once';
import { useMutation } from '../parts/use-mutation';
import { Wide } from '../parts/wide';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { MakeToken } from './make-token';
import { apiTokensQuery } from './queries';
import styles from './access.module.css';

/** `tokens`: the programs that work with the operator's books; the owner gives them a token and revokes it. */
export function TokensPage() {
  const { api, may } = useOperator();
  const [making, setMaking] = useState(false);
  const [made, setMade] = useState<CreatedApiToken | null>(null);
  const allowed = may('api-token.read');
  const question = useQuery({ ...apiTokensQuery(api), enabled: allowed });
  const text = words.tokens;
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page
      title={text.title}
      lead={text.lead}
      actions={
        may('api-token.create') ? (
          <button type="button" className="button button-main" onClick={() => setMaking(true)}>
            {text.make}
          </button>
        ) : undefined
      }
    >
      <Answer question={question} lines={6}>
        {(tokens) => (tokens.length === 0 ? <Blank title={text.none} /> : <TokenTable tokens={tokens} />)}
      </Answer>
      {making ? (
        <MakeToken
          onMade={(token) => {
            setMaking(false);
            setMade(token);
          }}
          onClose={() => setMaking(false)}
        />
      ) : null}
      {made === null ? null : (
        <ShownOnce
          title={text.handOver(made.name)} lead={made.secret === null ? text.notShownAgain : text.handOverLead}
          label={text.token} value={made.secret} onClose={() => setMade(null)}
        />
      )}
    </Page>
  );
}

function TokenTable({ tokens }: { readonly tokens: readonly ApiToken[] }) {
  const { may } = useOperator();
  const [asked, setAsked] = useState<ApiToken | null>(null);
  const text = words.tokens;
  const mayRevoke = may('api-token.revoke');
  return (
    <Wide title={text.title}>
      <table>
        <caption className="visually-hidden">{text.title}</caption>
        <thead>
          <tr>
            <th scope="col">{text.name}</th>
            <th scope="col">{text.role}</th>
            <th scope="col">{text.scopes}</th>
            <th scope="col">{text.made}</th>
            <th scope="col">{text.used}</th>
            <th scope="col">{text.expires}</th>
            {mayRevoke ? <th scope="col"><span className="visually-hidden">{words.commands}</span></th> : null}
          </tr>
        </thead>
        <tbody>
          {tokens.map((token) => (
            <TokenRow key={token.id} token={token} onRevoke={mayRevoke ? () => setAsked(token) : null} />
          ))}
        </tbody>
      </table>
      {asked === null ? null : <Revoke token={asked} onClose={() => setAsked(null)} />}
    </Wide>
  );
}

function TokenRow({ token, onRevoke }: { readonly token: ApiToken; readonly onRevoke: (() => void) | null }) {
  const nameOf = useActorName();
  const text = words.tokens;
  const dayIn = (instant: string) => formatDay(dayOf(new Date(instant)), locale);
  const { revokedAt, expiresAt, lastUsedAt } = token;
  const isOver = new Date(expiresAt).getTime() <= Date.now();
  return (
    <tr>
      <th scope="row">
        {token.name}
        <div className={`soft small ${styles.below}`}>{text.begins(token.hint)}</div>
      </th>
      <td>{words.people.roleTitle(words.roles[token.role])}</td>
      <td>
        <ul>
          {token.scopes.map((scope) => (
            <li key={scope}>{text.scopeMeans[scope]}</li>
          ))}
        </ul>
      </td>
      <td>{text.madeBy(dayIn(token.createdAt), nameOf(token.createdBy))}</td>
      <td>{lastUsedAt === null ? text.never : formatInstant(lastUsedAt, locale)}</td>
      <td>
        {dayIn(expiresAt)}
        {revokedAt === null ? null : <div className="soft small">{text.state.revoked(dayIn(revokedAt))}</div>}
        {revokedAt === null && isOver ? <div className="soft small">{text.state.expired}</div> : null}
      </td>
      {onRevoke === null ? null : (
        <td>
          {revokedAt !== null || isOver ? null : (
            <button type="button" className="button button-small" onClick={onRevoke}>
              {text.revoke}
              <span className="visually-hidden">{words.people.about(token.name)}</span>
            </button>
          )}
        </td>
      )}
    </tr>
  );
}

function Revoke({ token, onClose }: { readonly token: ApiToken; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const text = words.tokens;
  const revoking = useMutation({
    mutationFn: (_asked: void, key) => api.revokeApiToken(token.id, key),
    onSuccess: onClose,
    onSettled: () => client.invalidateQueries({ queryKey: apiTokensQuery(api).queryKey }),
  });
  return (
    <Confirm title={text.revokeTitle(token.name)} action={text.revoke} busy={revoking.isPending} error={revoking.error} onConfirm={() => revoking.mutate()} onClose={onClose}>
      <p>{text.revokeWhat}</p>
    </Confirm>
  );
}
