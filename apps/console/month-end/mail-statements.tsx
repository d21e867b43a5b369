import { useQuery } from '@tanstack/react-query';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { CommandButton } from './commands';
import { statementMailsQuery } from './queries';

interface MailStatementsProps {
  readonly closeId: string;
  readonly name: string;
}

/** Statements on their way to the people of the sites: how many went out, what stands in the way, and the button that sends them. */
export function MailStatements({ closeId, name }: MailStatementsProps) {
  const { api, may } = useOperator();
  const { data } = useQuery({ ...statementMailsQuery(api, closeId), enabled: may('statement-mail.read') });
  if (data === undefined) return null;
  const text = words.monthEnd.mail;
  const again = data.refused + data.unclear + data.leftOut > 0;
  const asked = data.sent + data.waiting > 0 || again;
  const codesOf = (isMeant: (state: string) => boolean) => [...new Set(data.troubles.filter(({ state }) => isMeant(state)).map(({ siteCode }) => siteCode))];
  const leftOut = codesOf((state) => state === 'left-out');
  return (
    <>
      {asked ? <span>{text.soFar(data)}</span> : null}
      {asked && data.sitesWithoutReceiver.length > 0 ? <span>{text.nobody(data.sitesWithoutReceiver)}</span> : null}
      {data.refused + data.unclear > 0 ? <span>{text.troubles(codesOf((state) => state !== 'left-out'))}</span> : null}
      {leftOut.length > 0 ? <span>{text.leftOut(leftOut)}</span> : null}
      {asked && data.notAsked > 0 ? <span>{text.notAsked(data.notAsked)}</span> : null}
      {!asked || again || data.notAsked > 0 ? (
        <CommandButton
          permission="statement-mail.send" main={false} text={again ? text.again : text.action} title={again ? text.againTitle : text.title(name)}
          run={(key) => api.sendStatementMails(closeId, again, key)}
        >
          <p>{again ? text.twice : text.what}</p>
        </CommandButton>
      ) : null}
    </>
  );
}
