import { useQuery, useQueryClient } from '@tanstack/react-query';
import { Fragment, useState } from 'react';
import { useNavigate } from 'react-router';
import type { BagToCount, CountsBody, ToCount } from '../api/collections-api';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Waiting } from '../parts/answer';
import type { FormError } from '../parts/error-summary';
import { errorAt, Form } from '../parts/form';
import { recordingErrorsOf } from '../parts/form-errors';
import framed from '../parts/framed.module.css';
import { useMutation } from '../parts/use-mutation';
import { BoxFields } from '../phone/box-fields';
import { emptyBox, zero, type BoxDraft } from '../phone/box-draft';
import { coinsOn } from '../phone/coins-on';
import { ScaleFields } from '../phone/scale-fields';
import type { ScaleDraft } from '../phone/scale-draft';
import type { KeptCount } from '../phone/store';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { coinSetsQuery } from './queries';
import { toCounts, type BoxToCount } from './room-counts';
import { useKeeping, useKeptCount } from './use-kept-count';

const text = words.countingRoom;

/** What lay in each box. Boxes whose bags are not opened are left out, and somebody has to say so. */
export function CountForm({ toCount }: { readonly toCount: ToCount }) {
  const kept = useKeptCount(toCount.collection.id);
  const [isAnew, setAnew] = useState(false);
  if (kept === 'loading') return <Waiting lines={8} />;
  // Another key, so that everything typed is gone.
  return <Counting key={isAnew ? 'anew' : 'kept'} toCount={toCount} kept={isAnew ? null : kept} onAnew={() => setAnew(true)} />;
}

interface CountingProps {
  readonly toCount: ToCount;
  readonly kept: KeptCount | null;
  readonly onAnew: () => void;
}

function Counting({ toCount, kept, onAnew }: CountingProps) {
  const { collection, boxes, bags } = toCount;
  const { api, to } = useOperator();
  const client = useQueryClient();
  const navigate = useNavigate();
  const coinSets = useQuery(coinSetsQuery(api));
  const coinSet = coinsOn(coinSets.data, { currency: boxes.currency, day: collection.localDate });
  const [typed, setTyped] = useState<Readonly<Record<string, BoxDraft>>>(kept?.typed ?? {});
  const [way, setWay] = useState<BoxDraft['way']>('amounts');
  const [scale, setScale] = useState<ScaleDraft | null>(kept?.scale ?? null);
  const { isLost, forget } = useKeeping(collection.id, { typed, scale });
  const [withoutBags, setWithoutBags] = useState(false);
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const { open, unopened, missing } = boxesOnTable(boxes.machines, bags);
  const boxOf = (machineId: string): BoxDraft => typed[machineId] ?? { ...emptyBox, way };
  const counting: readonly BoxToCount[] = open.map((machine) => ({ machineId: machine.machineId, tag: machine.tag, box: boxOf(machine.machineId), leaves: machine.leaves }));
  const sending = useMutation({
    isOneThing: true,
    mutationFn: async (body: CountsBody, key) => api.countCollection(collection.id, body, key),
    onSuccess: async () => {
      await forget();
      await client.invalidateQueries({ queryKey: ['collections'] });
      await navigate(to('collections?state=counted'));
    },
    onError: (error, { counts }) => {
      const told = recordingErrorsOf(error, {
        elsewhere: (place, message) => {
          const [, , index = ''] = place.split('/');
          const machine = open.find(({ tag }) => tag === counts[Number(index)]?.machineTag);
          if (machine === undefined) return { fieldId: null, message };
          return { fieldId: `${machine.machineId}-way`, message: words.phone.of(machine.tag, message) };
        },
      });
      setErrors(told);
    },
  });
  // The scale is asked for where it is needed first: many boxes may stand before that one.
  const firstWeighed = counting.findIndex(({ box }) => box.way === 'weight');
  const submit = () => {
    const made = toCounts(counting, { currency: boxes.currency, coinSet, locale, scale });
    const left = unopened.length > 0 && !withoutBags ? [{ fieldId: 'without-bags', message: text.bagsLeft }] : [];
    const wrong = [...left, ...(open.length === 0 && unopened.length > 0 && (left.length > 0 || missing.length > 0) ? [] : made.errors)];
    setErrors(wrong);
    // A box that was emptied into a bag that is not here stands at nothing until the bag comes: then its count is corrected.
    const nothing = missing.map(({ tag, leaves }) => ({ machineTag: tag, ...(leaves ? { removal: true } : {}), coin: zero({ currency: boxes.currency, locale }), note: zero({ currency: boxes.currency, locale }) }));
    if (wrong.length === 0) sending.mutate({ ...made.body, counts: [...made.body.counts, ...nothing] });
  };
  return (
    <section className="section" aria-labelledby="counts">
      <h2 id="counts">{text.counts}</h2>
      <p className="soft">{text.countsLead}</p>
      {kept === null ? null : (
        <div className="notice">
          <p>{text.keptSince(formatInstant(kept.keptAt, locale))}</p>
          <div>
            <button type="button" className="button-plain" onClick={() => void forget().then(onAnew)}>
              {text.startAnew}
            </button>
          </div>
        </div>
      )}
      {isLost ? (
        <p role="status" className="notice notice-alarm">
          {text.notKept}
        </p>
      ) : null}
      <Form errors={errors.filter(({ fieldId }) => fieldId !== 'without-bags' || unopened.length > 0)} busy={sending.isPending || coinSets.isLoading} action={text.action} onSubmit={submit}>
        {counting.map(({ machineId, tag, box }, place) => (
          <Fragment key={machineId}>
            {place === firstWeighed ? <ScaleFields scale={scale} errors={errors} onScale={setScale} /> : null}
            <fieldset className={framed.box}>
              <legend>{words.phone.visit.machine(tag, open[place]?.game ?? null)}</legend>
              <BoxFields
                id={machineId} box={box} currency={boxes.currency} coinSet={coinSet} tokens={boxes.tokens} amountHint={text.amountHint(boxes.currency)} errors={errors}
                onBox={(change) => {
                  const changed = { ...box, ...change };
                  setTyped({ ...typed, [machineId]: changed });
                  setWay(changed.way);
                }}
              />
            </fieldset>
          </Fragment>
        ))}
        {unopened.length === 0 ? null : (
          <div className="field">
            {errorAt(errors, 'without-bags') === undefined ? null : <span id="without-bags-error" className="field-error">{text.bagsLeft}</span>}
            <label className={framed.tick}>
              <input id="without-bags" type="checkbox" checked={withoutBags} aria-describedby={errorAt(errors, 'without-bags') === undefined ? undefined : 'without-bags-error'} onChange={({ currentTarget }) => setWithoutBags(currentTarget.checked)} />
              {text.withoutBags(unopened.map(({ number }) => number))}
            </label>
          </div>
        )}
      </Form>
    </section>
  );
}

type Machine = ToCount['boxes']['machines'][number];

/** Boxes that can be counted now: those of opened bags; where a bag holds several boxes, or none was used, all the others, too. */
function boxesOnTable(machines: readonly Machine[], bags: readonly BagToCount[]): { readonly open: readonly Machine[]; readonly unopened: readonly BagToCount[]; readonly missing: readonly Machine[] } {
  const unopened = bags.filter(({ opened }) => opened === null);
  const bagged = new Set(bags.map(({ machineTag }) => machineTag));
  const isShared = bags.length === 0 || bags.some(({ machineTag, opened }) => machineTag === null && opened !== null);
  const open = machines.filter(({ tag }) => (bagged.has(tag) ? bags.some(({ machineTag, opened }) => machineTag === tag && opened !== null) : isShared));
  const missing = machines.filter(({ tag }) => bagged.has(tag) && open.every((machine) => machine.tag !== tag));
  return { open, unopened, missing };
}
