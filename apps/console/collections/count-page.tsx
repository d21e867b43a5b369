import { useQuery } from '@tanstack/react-query';
import { useEffect } from 'react';
import { useParams } from 'react-router';
import { formatInstantAt } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { forgetCount } from '../phone/store';
import { BagSteps } from './bag-steps';
import { CountForm } from './count-form';
import { toCountQuery } from './queries';

const text = words.countingRoom;

/** `collections/:id/count`: bags received, opened and counted, one after the other. Nothing here says what should be in them. */
export function CountPage() {
  const { collectionId = '' } = useParams();
  const { api, may } = useOperator();
  const allowed = may('collection.count', 'open') && may('bag.handle');
  const question = useQuery({ ...toCountQuery(api, collectionId), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  const found = question.data;
  return (
    <Page title={found === undefined ? text.title : text.titleOf(found.boxes.siteName)} lead={found === undefined ? undefined : text.lead(formatInstantAt(found.collection.happenedAt, locale, found.collection.timeZone))}>
      <Answer question={question} lines={8}>
        {(toCount) =>
          toCount.collection.state === 'open' ? (
            <>
              {toCount.bags.length === 0 ? null : <BagSteps toCount={toCount} />}
              <CountForm toCount={toCount} />
            </>
          ) : (
            <Counted collectionId={toCount.collection.id} />
          )
        }
      </Answer>
    </Page>
  );
}

/** Counted meanwhile, here or by somebody else: what was typed for it is wiped. */
function Counted({ collectionId }: { readonly collectionId: string }) {
  const { membership, account } = useOperator();
  useEffect(() => {
    forgetCount({ operatorId: membership.id, accountId: account.id }, collectionId).catch(() => undefined);
  }, [membership.id, account.id, collectionId]);
  return (
    <Blank title={text.done}>
      <p>{text.doneAdvice}</p>
    </Blank>
  );
}
