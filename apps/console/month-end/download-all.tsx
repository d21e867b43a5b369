import { useOperator } from '../session/operator';
import { words } from '../words/words';

interface DownloadAllProps {
  readonly closeId: string;
  readonly name: string;
}

/** All issued statements of the period in one ZIP file. A link and no request of ours: the browser shows how far it is, and can go on with a download that broke off. */
export function DownloadAll({ closeId, name }: DownloadAllProps) {
  const { membership, may } = useOperator();
  if (!may('statement-archive.read')) return null;
  return (
    <a className="button" href={`/v1/closes/${closeId}/statements?operator=${membership.id}`} download>
      {words.statement.all}
      <span className="visually-hidden">{` ${name}`}</span>
    </a>
  );
}
