import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { Collection } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount, formatMoney, sum } from '../format/money';
import { readTypedAmount } from '../format/typed-amount';
import { Booking, type Filled } from '../parts/booking';
import { reasonErrors } from '../parts/booking-fields';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { changedByCorrection, effectOf } from './correcting';
import { collectionQuery, uncountedQuery } from './queries';

const text = words.entered.uncounted;

/** That boxes were opened and never counted, anywhere in the books, with the way there. */
export function UncountedNotice() {
  const { api, may, to } = useOperator();
  const { data: boxes } = useQuery({ ...uncountedQuery(api, null), enabled: may('collection.count-late', 'accepted') });
  if (boxes === undefined || boxes.length === 0) return null;
  return (
    <div className="notice">
      <strong>{text.title}</strong>
      <p>{text.lead}</p>
      <ul>
        {boxes.map(({ collectionId, siteCode, localDate, machineTag, evidence }) => (
          <li key={`${collectionId} ${machineTag}`}>
            <Link to={to(`collections/${collectionId}`)}>{text.box({ machine: machineTag, site: siteCode, day: formatDay(localDate, locale) })}</Link> {text.evidence[evidence]}
          </li>
        ))}
      </ul>
    </div>
  );
}

/** The boxes of one collection that were opened there and never counted: their count is entered here. */
export function Uncounted({ collectionId }: { readonly collectionId: string }) {
  const { api, may } = useOperator();
  const { data: collection } = useQuery({ ...collectionQuery(api, collectionId), enabled: may('collection.read') });
  const isAsked = collection?.state === 'accepted' && may('collection.count-late', 'accepted');
  const { data: boxes } = useQuery({ ...uncountedQuery(api, collectionId), enabled: isAsked });
  const [machineTag, setMachineTag] = useState<string | null>(null);
  if (collection === undefined || !isAsked || boxes === undefined || boxes.length === 0) return null;
  return (
    <section className="section" aria-labelledby="uncounted">
      <h2 id="uncounted">{text.title}</h2>
      <p className="soft">{text.lead}</p>
      <ul>
        {boxes.map((box) => (
          <li key={box.machineTag}>
            {box.machineTag}: {text.evidence[box.evidence]}{' '}
            <button type="button" className="button button-small" onClick={() => setMachineTag(box.machineTag)}>
              {text.enter(box.machineTag)}
            </button>
          </li>
        ))}
      </ul>
      {machineTag === null ? null : <LateCount collection={collection} machineTag={machineTag} onClose={() => setMachineTag(null)} />}
    </section>
  );
}

type Body = { readonly machineTag: string; readonly coin: { amount: string; currency: string }; readonly note: { amount: string; currency: string }; readonly reason: string };

function LateCount({ collection, machineTag, onClose }: { readonly collection: Collection; readonly machineTag: string; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const { currency } = collection.counted;
  const [typed, setTyped] = useState({ coin: '', note: '' });
  const [reason, setReason] = useState('');
  const fieldOf = (name: string) => `${id}-${name}`;
  const read = (): Filled<Body> => {
    const [coin, note] = [typed.coin, typed.note].map((each) => readTypedAmount({ text: each, currency, locale, zero: true }));
    const example = formatAmount({ amount: '12.50', currency }, locale);
    const wrong = [{ name: 'coin', money: coin }, { name: 'note', money: note }].filter(({ money }) => money === null || money === undefined).map(({ name }) => ({ fieldId: fieldOf(name), message: words.entered.amountWrong(example) }));
    const errors = [...wrong, ...reasonErrors({ fieldId: fieldOf('reason'), reason })];
    if (errors.length > 0 || coin === null || coin === undefined || note === null || note === undefined) return { errors };
    const takings = sum([coin, note]) ?? coin;
    return { body: { machineTag, coin, note, reason: reason.trim() }, books: [text.books(machineTag, formatMoney(takings, locale)), ...effectOf({ collection, takings, cash: [{ with: 'counting-room', amount: takings }] }), words.booking.because(reason.trim())] };
  };
  return (
    <Booking
      title={text.enter(machineTag)} action={text.action} read={read} fields={{ coin: fieldOf('coin'), note: fieldOf('note'), reason: fieldOf('reason') }} refresh={['collections']} alsoRefresh={changedByCorrection} onClose={onClose}
      send={(body, key) => api.countLate(collection.id, body, key)}
    >
      {(errors) => (
        <>
          {(['coin', 'note'] as const).map((name) => (
            <Field
              key={name} id={fieldOf(name)} label={words.entered.counts[name]} hint={text.zero} inputMode="decimal" autoComplete="off" error={errorAt(errors, fieldOf(name))}
              value={typed[name]} onValue={(value) => setTyped((before) => ({ ...before, [name]: value }))}
            />
          ))}
          <Field id={fieldOf('reason')} label={words.reason} autoComplete="off" maxLength={1000} error={errorAt(errors, fieldOf('reason'))} value={reason} onValue={setReason} />
        </>
      )}
    </Booking>
  );
}
