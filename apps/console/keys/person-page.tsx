import { useQuery } from '@tanstack/react-query';
import { useParams, useSearchParams } from 'react-router';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { instantFrom } from './moment';
import { Download, KeyViews, MomentField } from './parts';
import { KeysAtHand } from './person-keys';
import { personKeysQuery } from './queries';
import { GiveKey } from './record/give-key';

/** `keys/people/:id`: what somebody has at hand, and what it opens. */
export function KeyPersonPage() {
  const { personId = '' } = useParams();
  const { api, may } = useOperator();
  const [parameters, setParameters] = useSearchParams();
  const at = instantFrom(parameters, 'at');
  const clocks = at === undefined ? {} : { at };
  const allowed = may('key-reach.read');
  const question = useQuery({ ...personKeysQuery(api, personId, clocks), enabled: allowed });
  if (!allowed) return <Denied title={words.keys.title} />;
  const person = question.data?.person ?? null;
  return (
    <Page title={person === null ? words.keys.title : words.keys.person.title(person.name)} lead={person?.code} actions={<KeyViews />}>
      <div className="form">
        <MomentField id="keys-at" label={words.keys.at} hint={words.keys.atHint} instant={at} onInstant={(instant) => setParameters(instant === undefined ? {} : { at: instant }, { replace: true })} />
      </div>
      <Answer question={question} lines={8}>
        {(keys) => (
          <>
            {at === undefined && person !== null && may('custody-event.record') ? <GiveKey person={person} /> : null}
            <KeysAtHand keys={keys} now={at === undefined} />
            <Download file={() => api.keysOfPersonFile(personId, clocks)} />
          </>
        )}
      </Answer>
    </Page>
  );
}
