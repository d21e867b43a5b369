import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import { formatInstant } from '../../format/day';
import { locale } from '../../format/locale';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { toConfirmQuery } from '../record/queries';

const text = words.custody.ownKeys;

/**
 * On the front doors of those who have other things to do there: how many hand-overs of keys they still have to confirm or deny, and
 * by when. Nothing where there is none, or where nobody knows because there is no connection.
 */
export function ToConfirmNotice() {
  const { api, may, to } = useOperator();
  const { data } = useQuery({ ...toConfirmQuery(api), enabled: may('custody.acknowledge') && may('own-keys.read') });
  // Who said that it was not so has answered; the office is next.
  const waiting = (data?.items ?? []).filter(({ deniedAt }) => deniedAt === null).toSorted((one, other) => Date.parse(one.acknowledgeBy) - Date.parse(other.acknowledgeBy));
  const [first] = waiting;
  if (first === undefined) return null;
  return (
    <p className={first.late ? 'notice notice-alarm' : 'notice'}>
      {text.waits({ handOvers: waiting.length, by: formatInstant(first.acknowledgeBy, locale), late: first.late })} <Link to={to('keys/own')}>{text.toWaiting}</Link>
    </p>
  );
}
