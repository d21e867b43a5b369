import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { CashGaps } from '../api/shapes';
import { dayOf, formatDay, isDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney, isNegative, sum } from '../format/money';
import { useAddressParameters } from '../parts/address-parameters';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { Page } from '../parts/page';
import { TitledTable } from '../parts/titled-table';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { holderOf } from './gap-words';
import { cashGapsQuery } from './queries';
import styles from './cash.module.css';

const text = words.cash.openGaps;
/** Long enough for a month of rounds, and their cash to have come to the bank. */
const DAYS_AT_FIRST = 31;

/** `collections/cash/gaps`: what does not add up over many days, by who had it last, each with the way to its day. The days stand in the address. */
export function CashGapsPage() {
  const { may, to: pathTo } = useOperator();
  const id = useId();
  const [parameters, change] = useAddressParameters();
  const day = (name: 'from' | 'to', otherwise: string): string => {
    const asked = parameters.get(name) ?? '';
    return isDay(asked) ? asked : otherwise;
  };
  const to = day('to', dayOf(new Date()));
  // Another last day leaves the first one where it is.
  const [atFirst] = useState(before(to));
  const from = day('from', atFirst);
  if (!may('cash-trail.read')) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead}>
      <div className={styles.days}>
        {/* A browser's picker says nothing while a day is half typed. */}
        <Field id={`${id}-from`} type="date" label={text.from} defaultValue={from} onValue={(value) => (isDay(value) ? change({ from: value }) : undefined)} />
        <Field id={`${id}-to`} type="date" label={text.to} defaultValue={to} onValue={(value) => (isDay(value) ? change({ to: value }) : undefined)} />
      </div>
      <p className="soft">
        {text.withoutTubes} <Link to={pathTo('collections/cash')}>{words.cash.title}</Link>
      </p>
      <Found key={`${from} ${to}`} from={from} to={to} />
    </Page>
  );
}

function before(day: string): string {
  const at = new Date(`${day}T00:00:00Z`);
  at.setUTCDate(at.getUTCDate() - DAYS_AT_FIRST + 1);
  return at.toISOString().slice(0, 10);
}

function Found({ from, to }: { readonly from: string; readonly to: string }) {
  const { api } = useOperator();
  const question = useQuery(cashGapsQuery(api, { from, to }));
  return (
    <Answer question={question} lines={8}>
      {(found) => (
        <>
          {found.waiting === 0 ? null : <p className="soft">{text.waiting(found.waiting)}</p>}
          {found.gaps.length === 0 && found.bags.length === 0 ? <Blank title={text.none} /> : null}
          {found.gaps.length === 0 ? null : <Gaps gaps={found.gaps} />}
          {found.bags.length === 0 ? null : <Bags bags={found.bags} />}
        </>
      )}
    </Answer>
  );
}

type Gap = CashGaps['gaps'][number];

function Gaps({ gaps }: { readonly gaps: readonly Gap[] }) {
  const keyOf = (gap: Gap): string => `${gap.holder} ${gap.holder === 'collector' ? (gap.collectorId ?? '') : ''} ${gap.amount.currency}`;
  const holders = [...new Set(gaps.map(keyOf))].map((key) => ({ key, own: gaps.filter((gap) => keyOf(gap) === key) }));
  return (
    <>
      <ul>
        {holders.map(({ key, own }) => {
          const [first] = own;
          // What is over at one site makes good nothing that lacks at another.
          const sums = [own.filter(({ amount }) => isNegative(amount)), own.filter(({ amount }) => !isNegative(amount))].flatMap((each) => sum(each.map(({ amount }) => amount)) ?? []);
          return first === undefined ? null : <li key={key}>{text.sum({ holder: holderOf(first), amount: sums.map((each) => formatMoney(each, locale, 'exceptZero')).join(', '), gaps: own.length })}</li>;
        })}
      </ul>
      <TitledTable
        id="open-gaps" title={text.gaps} none="" columns={[words.cash.day, text.what, words.site, text.holder, words.cash.moves.amount]} figures={[words.cash.moves.amount]}
        rows={gaps.map((gap) => (
          <tr key={`${gap.day} ${gap.kind} ${gap.collectionId ?? ''} ${gap.collectorId ?? ''} ${gap.amount.currency}`}>
            <DayHead day={gap.day} />
            <td>{text.kind[gap.kind]}</td>
            <td className="code">{gap.siteCode}</td>
            <td>{holderOf(gap)}</td>
            <td className="figure">{formatMoney(gap.amount, locale, 'exceptZero')}</td>
          </tr>
        ))}
      />
    </>
  );
}

function Bags({ bags }: { readonly bags: CashGaps['bags'] }) {
  return (
    <TitledTable
      id="open-bags" title={text.bags} none="" columns={[words.cash.day, words.cash.bags.number, words.site, words.cash.bags.state, text.holder]}
      rows={bags.map((bag) => (
        <tr key={bag.bagId}>
          <DayHead day={bag.day} />
          <td>{bag.number}</td>
          <td className="code">{bag.siteCode}</td>
          <td>{words.cash.bags.finding[bag.finding]}</td>
          <td>{holderOf(bag)}</td>
        </tr>
      ))}
    />
  );
}

function DayHead({ day }: { readonly day: string }) {
  const { to } = useOperator();
  return (
    <th scope="row">
      <Link to={to(`collections/cash?day=${day}`)}>{formatDay(day, locale)}</Link>
    </th>
  );
}
