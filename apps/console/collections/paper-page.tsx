import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { useNavigate, useSearchParams } from 'react-router';
import type { SiteBoxes } from '../api/shapes';
import { dayIn } from '../format/day';
import { locale } from '../format/locale';
import { toInstantIn } from '../keys/moment';
import { everySiteQuery, peopleQuery } from '../keys/queries';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { recordingErrorsOf } from '../parts/form-errors';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { useMutation } from '../parts/use-mutation';
import { unless } from '../parts/use-sending';
import { coinsOn } from '../phone/coins-on';
import { emptyDraft, toVisit, type Draft } from '../phone/draft';
import { fieldAt } from '../phone/field-at';
import { toFormError, toFormErrorAt, VisitFields } from '../phone/visit-fields';
import styles from '../phone/phone.module.css';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { coinSetsQuery, siteBoxesQuery } from './queries';

const text = words.paperVisit;

/** `collections/enter`: a visit that was made without a phone, entered as it was written down. */
export function PaperVisitPage() {
  const { api, may } = useOperator();
  const [parameters] = useSearchParams();
  const [siteId, setSiteId] = useState(parameters.get('site') ?? '');
  const allowed = may('collection.create') && may('person.read');
  const sites = useQuery({ ...everySiteQuery(api), enabled: allowed });
  const site = sites.data?.find(({ id }) => id === siteId);
  // By site: one that was chosen by mistake takes nothing with it. Who collected and when hold for whichever it was.
  const [begun, setBegun] = useState<Readonly<Record<string, Begun>>>({});
  const [visit, setVisit] = useState<Visit>({ at: '', collectedBy: '' });
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead}>
      <Answer question={sites} lines={1}>
        {(found) => (
          <div className="form">
            <SelectField id="paper-site" label={words.site} none={text.choose} value={siteId} options={found.map((site) => ({ value: site.id, text: `${site.name} (${site.code})` }))} onValue={setSiteId} />
          </div>
        )}
      </Answer>
      {site === undefined ? null : (
        <PaperVisit
          key={site.id} siteId={site.id} timeZone={site.timeZone} visit={visit} onVisit={setVisit}
          begun={begun[site.id]} onBegun={(visit) => setBegun({ ...begun, [site.id]: visit })}
        />
      )}
    </Page>
  );
}

/** Before it a moment is half typed: a year of fewer digits. */
const EARLIEST = '2000';

interface Visit {
  /** As typed, by the clock at the site. */
  readonly at: string;
  readonly collectedBy: string;
}

interface Begun {
  /** Of the visit as it will be recorded. */
  readonly id: string;
  readonly draft: Draft;
}

interface PaperVisitProps {
  readonly siteId: string;
  readonly timeZone: string;
  readonly visit: Visit;
  readonly onVisit: (visit: Visit) => void;
  readonly begun: Begun | undefined;
  readonly onBegun: (begun: Begun) => void;
}

/** Machines, boards and terms are those of the moment of the visit: one that has moved since is asked for where it stood. */
function PaperVisit({ siteId, timeZone, visit: { at, collectedBy }, onVisit, begun, onBegun }: PaperVisitProps) {
  const { api, to } = useOperator();
  const client = useQueryClient();
  const navigate = useNavigate();
  const everybody = useQuery(peopleQuery(api));
  const coinSets = useQuery(coinSetsQuery(api)).data;
  const [untouched] = useState<Begun>(() => ({ id: crypto.randomUUID(), draft: emptyDraft(new Date()) }));
  const { id, draft } = begun ?? untouched;
  // As the clock at the site showed it, wherever the paper is typed in.
  const happenedAt = toInstantIn(at, timeZone);
  const isSaid = happenedAt !== undefined && happenedAt > EARLIEST;
  const boxesThen = siteBoxesQuery(api, siteId, happenedAt ?? null);
  const boxes = useQuery({ ...boxesThen, enabled: isSaid });
  const [isReading, setReading] = useState(false);
  const coinSetAt = (site: SiteBoxes) => coinsOn(coinSets, { currency: site.currency, day: dayIn(new Date(happenedAt ?? draft.happenedAt), site.timeZone) });
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const people = (everybody.data ?? []).filter(({ employedBy }) => employedBy === 'operator');
  const entering = useMutation({
    isOneThing: true,
    mutationFn: api.enterPaperVisit,
    onSuccess: async ({ state }) => {
      await client.invalidateQueries({ queryKey: ['collections'] });
      // Bags are counted next; what was counted at the machines waits to be accepted.
      await navigate(to(state === 'open' ? `collections/${id}/count` : 'collections?state=counted'));
    },
    onError: (error, { visit }) =>
      setErrors(recordingErrorsOf(error, { fields: { collectedBy: 'paper-collector' }, elsewhere: (pointer, message) => toFormErrorAt(fieldAt(pointer, { visit, machines: boxes.data?.machines ?? [] }), message) })),
  });
  /** Pressed at once after the moment was said, it waits for the machines of that moment. */
  const boxesRead = async () => {
    setReading(true);
    const read = await client.ensureQueryData(boxesThen).catch(() => undefined);
    setReading(false);
    return read;
  };
  // Of a check that stands on the paper nothing else is known than that it was made before that visit's coins were weighed.
  const draftOn = (moment: string) => ({ ...draft, happenedAt: moment, scale: draft.scale === null ? null : { ...draft.scale, checkedAt: moment } });
  const submit = async () => {
    const site = isSaid ? await boxesRead() : undefined;
    const made = site === undefined || happenedAt === undefined ? { errors: [] } : toVisit(draftOn(happenedAt), { stop: site, coinSet: coinSetAt(site), locale });
    const missing = [unless(collectedBy !== '', 'paper-collector', text.collectorMissing), unless(isSaid, 'at', text.momentMissing), unless(!isSaid || site !== undefined, 'at', text.boxesNotRead)].filter((error) => error !== null);
    const wrong = [...missing, ...('errors' in made ? made.errors.map(toFormError) : [])];
    setErrors(wrong);
    if (wrong.length === 0 && 'visit' in made) entering.mutate({ id, collectedBy, visit: made.visit });
  };
  return (
    <div className={styles.wide}>
      <Form errors={errors} busy={entering.isPending || isReading} action={text.action} onSubmit={() => void submit()}>
        <SelectField id="paper-collector" label={text.collector} none={text.choose} isLoading={everybody.isLoading} error={errorAt(errors, 'paper-collector')} value={collectedBy} options={people.map((person) => ({ value: person.id, text: person.name }))} onValue={(id) => onVisit({ at, collectedBy: id })} />
        <Field id="at" type="datetime-local" label={text.moment} hint={text.momentHint} error={errorAt(errors, 'at')} value={at} onValue={(moment) => onVisit({ at: moment, collectedBy })} />
        {isSaid ? <Answer question={boxes} lines={6}>{(site) => <VisitFields draft={draftOn(happenedAt ?? draft.happenedAt)} stop={site} coinSet={coinSetAt(site)} errors={errors} onDraft={(changed) => onBegun({ id, draft: changed })} />}</Answer> : null}
      </Form>
    </div>
  );
}
