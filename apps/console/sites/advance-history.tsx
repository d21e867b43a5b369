import { useState } from 'react';
import { Link } from 'react-router';
import type { Advance } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { difference, formatMoney, isNegative, negated, type Money } from '../format/money';
import { Amount } from '../parts/amount';
import { DatedBooking } from '../parts/booking-fields';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

type Step = Advance['history'][number];

const text = words.advanceChanges;

interface AdvanceHistoryProps {
  readonly siteId: string;
  readonly advance: Advance;
  readonly title: string;
}

/** Every step of an advance with what was open after it; what was paid back or given up by mistake is undone here. */
export function AdvanceHistory({ siteId, advance, title }: AdvanceHistoryProps) {
  const { may, to } = useOperator();
  const [asked, setAsked] = useState<Step | null>(null);
  return (
    <>
      <table>
        <caption className="visually-hidden">{title}</caption>
        <thead>
          <tr>
            <th scope="col">{text.on}</th>
            <th scope="col">{text.what}</th>
            <th scope="col" className="figure">
              {words.payments.amount}
            </th>
            <th scope="col" className="figure">
              {words.advances.open}
            </th>
            {may('advance.undo') ? <th scope="col">{words.commands}</th> : null}
          </tr>
        </thead>
        <tbody>
          {advance.history.map((step, index) => (
            <tr key={`${index} ${step.kind}`}>
              <th scope="row">{formatDay(step.on, locale)}</th>
              <td>
                {text.kind[step.kind]}{' '}
                {step.number === null || step.settlementId === null ? null : <Link to={to(`settlements/${step.settlementId}`)}>{step.number}</Link>}
                <div className="soft small">{[step.undone ? text.wasUndone : '', step.document, step.reason].filter((each) => each !== '').join(', ')}</div>
              </td>
              <td className="figure">
                <Amount money={step.amount} signs="exceptZero" />
              </td>
              <td className="figure">
                <Amount money={step.balance} />
              </td>
              {may('advance.undo') ? <td>{mayBeUndone(step) ? <UndoButton step={step} onAsked={() => setAsked(step)} /> : null}</td> : null}
            </tr>
          ))}
        </tbody>
      </table>
      {asked === null ? null : <Undo siteId={siteId} advance={advance} step={asked} onClose={() => setAsked(null)} />}
    </>
  );
}

function mayBeUndone({ kind, reductionId, undone }: Step): boolean {
  return (kind === 'paid-back' || kind === 'written-off') && reductionId !== null && !undone;
}

function UndoButton({ step, onAsked }: { readonly step: Step; readonly onAsked: () => void }) {
  return (
    <button type="button" className="button button-small" aria-label={nameOf(step)} onClick={onAsked}>
      {text.undo}
    </button>
  );
}

function Undo({ siteId, advance, step, onClose }: { readonly siteId: string; readonly advance: Advance; readonly step: Step; readonly onClose: () => void }) {
  const { api } = useOperator();
  const amount = size(step.amount);
  const rest = difference({ now: advance.open, before: negated(amount) }) ?? advance.open;
  return (
    <DatedBooking
      title={nameOf(step)} action={text.undo} refresh={['sites', siteId]} onClose={onClose}
      books={[text.undoes({ amount: formatMoney(amount, locale), rest: formatMoney(rest, locale) })]}
      send={(body, key) => api.undoAdvance({ id: advance.id, reductionId: step.reductionId ?? '', ...body }, key)}
    />
  );
}

function nameOf({ kind, amount, on }: Step): string {
  return text.undoNamed(text.kind[kind], formatMoney(size(amount), locale), formatDay(on, locale));
}

const size = (money: Money): Money => (isNegative(money) ? negated(money) : money);
