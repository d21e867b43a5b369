import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { OpenLink } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { Confirm } from '../parts/confirm';
import { useMutation } from '../parts/use-mutation';
import { Wide } from '../parts/wide';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { openLinksQuery } from './queries';

/** The links that were handed out and not used yet; the owner withdraws them. */
export function OpenLinks() {
  const { api } = useOperator();
  const question = useQuery(openLinksQuery(api));
  const text = words.people;
  return (
    <section className="section" aria-labelledby="open-links">
      <h2 id="open-links">{text.links}</h2>
      <Answer question={question} lines={2}>
        {({ items }) =>
          items.length === 0 ? (
            <Blank title={text.noLinks} />
          ) : (
            <>
              <p className="soft">{text.linksLead}</p>
              <LinkTable links={items} />
            </>
          )
        }
      </Answer>
    </section>
  );
}

function LinkTable({ links }: { readonly links: readonly OpenLink[] }) {
  const { may } = useOperator();
  const nameOf = useActorName();
  const [asked, setAsked] = useState<OpenLink | null>(null);
  const text = words.people;
  const mayWithdraw = may('member.invite');
  return (
    <Wide title={text.links}>
      <table>
        <caption className="visually-hidden">{text.links}</caption>
        <thead>
          <tr>
            <th scope="col">{text.linkFor}</th>
            <th scope="col">{text.linkKindTitle}</th>
            <th scope="col">{text.madeBy}</th>
            <th scope="col">{text.until}</th>
            {mayWithdraw ? <th scope="col"><span className="visually-hidden">{words.commands}</span></th> : null}
          </tr>
        </thead>
        <tbody>
          {links.map((link) => (
            <tr key={link.id}>
              <th scope="row">{link.email}</th>
              <td>
                {text.linkKind[link.kind]}
                {link.role === null ? null : <div className="soft small">{text.roleTitle(words.roles[link.role])}</div>}
              </td>
              <td>{nameOf(link.createdBy)}</td>
              <td className="code">{formatInstant(link.expiresAt, locale)}</td>
              {mayWithdraw ? (
                <td>
                  <button type="button" className="button button-small" onClick={() => setAsked(link)}>
                    {text.withdraw}
                    <span className="visually-hidden">{text.about(link.email)}</span>
                  </button>
                </td>
              ) : null}
            </tr>
          ))}
        </tbody>
      </table>
      {asked === null ? null : <Withdraw link={asked} onClose={() => setAsked(null)} />}
    </Wide>
  );
}

function Withdraw({ link, onClose }: { readonly link: OpenLink; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const text = words.people;
  const withdrawing = useMutation({
    mutationFn: () => api.withdrawLink(link.id),
    onSuccess: onClose,
    onSettled: () => client.invalidateQueries({ queryKey: openLinksQuery(api).queryKey }),
  });
  return (
    <Confirm title={text.withdrawTitle} action={text.withdraw} busy={withdrawing.isPending} error={withdrawing.error} onConfirm={() => withdrawing.mutate()} onClose={onClose}>
      <p>{text.withdrawWhat(link.email)}</p>
    </Confirm>
  );
}
