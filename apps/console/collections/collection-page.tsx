import { useQuery } from '@tanstack/react-query';
import { Link, useParams } from 'react-router';
import type { Collection } from '../api/shapes';
import { formatInstantAt } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { CollectionStateMark } from '../parts/state-mark';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { CollectionCompared } from '../variances/compared';
import { AcceptOne } from './accept';
import { AuditFiles } from './audit-files';
import { Discard } from './discard';
import { Entered } from './entered';
import { KeyCheck } from './key-check';
import { Metered } from './metered';
import { collectionQuery, keyCheckQuery } from './queries';
import { Uncounted } from './uncounted';
import { UnreadMeters } from './unread-meters';

const text = words.collectionKeys;

/** `collections/:id`: what was entered and how it is corrected, whether who emptied the boxes had keys to them, and what machines told there; a mistake is discarded here. */
export function CollectionPage() {
  const { collectionId = '' } = useParams();
  const { api, may } = useOperator();
  const allowed = may('collection-key.read');
  const question = useQuery({ ...keyCheckQuery(api, collectionId), enabled: allowed });
  const mayRead = may('collection.read');
  const mayReadOut = may('audit-file.read');
  const { data: collection } = useQuery({ ...collectionQuery(api, collectionId), enabled: mayRead });
  if (!allowed && !mayReadOut && !mayRead) return <Denied title={text.titlePlain} />;
  const known = question.data ?? collection;
  return (
    <Page title={known === undefined ? text.titlePlain : text.title(known.siteName)} lead={known === undefined ? undefined : words.entered.collectedOn(formatInstantAt(known.happenedAt, locale, known.timeZone))} actions={collection === undefined ? undefined : <NextStep collection={collection} />}>
      {mayRead ? <Entered collectionId={collectionId} /> : null}
      <Uncounted collectionId={collectionId} />
      {collection === undefined ? null : <UnreadMeters collectionId={collectionId} meters={collection.unreadMeters} isDiscarded={collection.state === 'discarded'} />}
      <Metered collectionId={collectionId} />
      {collection?.state === 'accepted' && may('variance.read') ? <CollectionCompared collectionId={collectionId} /> : null}
      {allowed ? (
        <Answer question={question} lines={6}>
          {(found) => <KeyCheck check={found} />}
        </Answer>
      ) : null}
      {mayReadOut && known !== undefined ? <AuditFiles collectionId={collectionId} siteId={known.siteId} counted={collection?.counts ?? []} /> : null}
      <Discard collectionId={collectionId} />
    </Page>
  );
}

/** How far the collection is, and what comes next: the count in the room, or its acceptance. */
function NextStep({ collection }: { readonly collection: Collection }) {
  const { may, to } = useOperator();
  const { id, state } = collection;
  return (
    <div className="row">
      <CollectionStateMark state={state} />
      {state === 'open' && may('collection.count', state) ? (
        <Link className="button button-main" to={to(`collections/${id}/count`)}>
          {words.collections.count}
        </Link>
      ) : null}
      <AcceptOne collection={collection} alone />
    </div>
  );
}
