import { useQuery } from '@tanstack/react-query';
import { Link, useParams } from 'react-router';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Download } from '../parts/download';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { ClockFields, useClocks } from './clocks';
import { KeyViews } from './parts';
import { KeysAtHand } from './person-keys';
import { personKeysQuery } from './queries';
import { GiveKey } from './record/give-key';

/** `keys/people/:id`: what somebody has at hand, and what it opens. */
export function KeyPersonPage() {
  const { personId = '' } = useParams();
  const { api, may, to } = useOperator();
  const [clocks, change] = useClocks();
  const isNow = clocks.at === undefined && clocks.knownAt === undefined;
  const allowed = may('key-reach.read');
  const question = useQuery({ ...personKeysQuery(api, personId, clocks), enabled: allowed });
  if (!allowed) return <Denied title={words.keys.title} />;
  const person = question.data?.person ?? null;
  return (
    <Page title={person === null ? words.keys.title : words.keys.person.title(person.name)} lead={person?.code} actions={<KeyViews />}>
      <ClockFields clocks={clocks} onChange={change} />
      <Answer question={question} lines={8}>
        {(keys) => (
          <>
            {isNow && person !== null && may('custody-event.record') ? <GiveKey person={person} /> : null}
            <KeysAtHand keys={keys} now={isNow} />
            {person !== null && may('person.erase') ? (
              <p>
                <Link to={to(`keys/people/${personId}/erasure`)}>{words.erasure.link}</Link>
              </p>
            ) : null}
            <Download file={() => api.keysOfPersonFile(personId, clocks)} />
          </>
        )}
      </Answer>
    </Page>
  );
}
