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
  const asked = data.sent + data.waiting + data.refused + data.unclear > 0;
  const again = data.refused + data.unclear > 0;
  return (
    <>
      {asked ? <span>{text.soFar(data)}</span> : null}
      {asked && data.sitesWithoutReceiver.length > 0 ? <span>{text.nobody(data.sitesWithoutReceiver)}</span> : null}
      {again ? <span>{text.troubles(data.troubles.map(({ siteCode }) => siteCode))}</span> : null}
      {!asked || again ? (
        <CommandButton
          permission="statement-mail.send" main={false} text={again ? text.again : text.action} title={again ? text.againTitle : text.title(name)}
          run={() => api.sendStatementMails(closeId, again)}
        >
          <p>{again ? text.twice : text.what}</p>
        </CommandButton>
      ) : null}
    </>
  );
}
