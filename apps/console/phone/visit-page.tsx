import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useNavigate, useParams } from 'react-router';
import type { CoinSet } from '../api/shapes';
import { dayIn, formatInstantAt } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { Confirm } from '../parts/confirm';
import { Denied } from '../parts/denied';
import type { FormError } from '../parts/error-summary';
import { Form } from '../parts/form';
import { Page } from '../parts/page';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { coinsOn } from './coins-on';
import { emptyDraft, toVisit, type Draft } from './draft';
import { begunAt } from './kept-visits';
import { phoneKey, scaleQuery, todayQuery, visitsQuery } from './queries';
import { keepScale, putVisit, removeVisit, type KeptVisit } from './store';
import { useHolder } from './use-phone';
import { toFormError, VisitFields } from './visit-fields';

const text = words.phone.visit;

/** `today/:roundId/:siteId`: a visit, entered machine by machine. Every keystroke is kept on the phone. */
export function VisitPage() {
  const { may } = useOperator();
  return may('visit.send') ? <OneStop /> : <Denied title={words.phone.title} />;
}

function OneStop() {
  const { api, account, to } = useOperator();
  const { roundId, siteId } = useParams();
  const holder = useHolder();
  const today = useQuery(todayQuery({ api, holder, account }));
  const visits = useQuery(visitsQuery(holder));
  const scale = useQuery(scaleQuery(holder)).data;
  const begun = begunAt(visits.data ?? [], { roundId, siteId });
  // A stop may leave the list while its visit is being entered; the coins of its currency are read with the list.
  const stop = today.data?.stops.stops.find((each) => each.siteId === siteId && each.roundId === roundId) ?? (today.data === undefined ? undefined : begun?.stop);
  const back = <Link to={to('today')}>{text.back}</Link>;
  // Without what the browser keeps, a begun visit cannot be told from none: what was typed would come a second time. One that is open stays.
  if (visits.isError && visits.data === undefined) {
    return (
      <Page title={words.phone.title}>
        <div role="alert" className="notice notice-alarm">
          <strong>{text.unreadable}</strong>
          <p>{text.unreadableAdvice}</p>
          <div>
            <button type="button" className="button" onClick={() => window.location.reload()}>
              {words.trouble.again}
            </button>
          </div>
        </div>
        {back}
      </Page>
    );
  }
  if (stop === undefined || visits.data === undefined || scale === undefined) {
    return (
      <Page title={words.phone.title}>
        <Answer question={today} lines={6}>
          {() => (visits.data === undefined ? null : <Blank title={text.missing}><p>{text.missingAdvice}</p></Blank>)}
        </Answer>
        {back}
      </Page>
    );
  }
  const visit = begun ?? { ...holder, id: '', stop, draft: { ...emptyDraft(new Date()), scale }, visit: null, finishedAt: null, sequence: null };
  const coinSet = coinsOn(today.data?.coinSets, { currency: stop.currency, day: dayIn(new Date(visit.draft.happenedAt), stop.timeZone) });
  return (
    <Page title={stop.siteName} lead={stop.address.join(', ')}>
      <Entry begun={visit} coinSet={coinSet} />
      {back}
    </Page>
  );
}

function Entry({ begun, coinSet }: { readonly begun: KeptVisit; readonly coinSet: CoinSet | null }) {
  const client = useQueryClient();
  const navigate = useNavigate();
  const { to } = useOperator();
  const { stop } = begun;
  const [visit, setVisit] = useState<KeptVisit>(() => ({ ...begun, id: begun.id === '' ? crypto.randomUUID() : begun.id }));
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const [isDiscarding, setDiscarding] = useState(false);
  const [isKept, setKept] = useState(true);
  const { draft } = visit;
  const change = (changed: Draft) => {
    const next = { ...visit, draft: changed };
    setVisit(next);
    void putVisit(next).then(() => setKept(true), () => setKept(false));
  };
  const leave = async () => {
    await client.invalidateQueries({ queryKey: phoneKey });
    await navigate(to('today'));
  };
  const finishing = useMutation({
    mutationFn: async (finished: KeptVisit) => {
      await putVisit(finished);
      // The next site's coins lie on the same scale.
      if (finished.visit?.scaleCheck !== undefined && draft.scale !== null) await keepScale(finished, draft.scale);
    },
    onSuccess: leave,
  });
  const discarding = useMutation({ mutationFn: removeVisit, onSuccess: leave });
  const finish = () => {
    const made = toVisit(draft, { stop, coinSet, locale });
    const finishedAt = new Date().toISOString();
    if ('errors' in made) setErrors(made.errors.map(toFormError));
    // A scale is checked before coins are weighed on it, which may be long after the visit began.
    else finishing.mutate({ ...visit, visit: made.visit.scaleCheck === undefined ? made.visit : { ...made.visit, countedAt: finishedAt }, finishedAt });
  };
  return (
    <>
      {isKept && finishing.error === null ? null : <p role="alert" className="notice notice-alarm">{text.notKept}</p>}
      <p className="soft">{text.at(formatInstantAt(draft.happenedAt, locale, visit.stop.timeZone))}</p>
      <Form
        errors={errors} busy={finishing.isPending} action={text.finish} onSubmit={finish}
        beside={
          <button type="button" className="button" onClick={() => setDiscarding(true)}>
            {text.discard}
          </button>
        }
      >
        <VisitFields draft={draft} stop={stop} coinSet={coinSet} errors={errors} onDraft={change} />
      </Form>
      {isDiscarding ? (
        <Confirm title={text.discardTitle} action={text.discard} busy={discarding.isPending} error={null} onConfirm={() => discarding.mutate(visit.id)} onClose={() => setDiscarding(false)}>
          <p>{text.discardWhat}</p>
        </Confirm>
      ) : null}
    </>
  );
}
