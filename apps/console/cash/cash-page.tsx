import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link, useSearchParams } from 'react-router';
import type { CashTrail } from '../api/shapes';
import { dayOf } from '../format/day';
import { locale } from '../format/locale';
import { difference, formatMoney, isZero, negated, type Money } from '../format/money';
import { Amount } from '../parts/amount';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { BagsSection } from './bags';
import { FundsSection, MovesSection } from './funds';
import { holderOf } from './gap-words';
import { cashTrailQuery } from './queries';
import { RecordMove, RecordStocktake } from './record';
import { TubesSection } from './tubes';
import styles from './cash.module.css';

const text = words.cash;

/** `collections/cash`: the way of the cash of a day, with each gap and who has to explain it. The day stands in the address. */
export function CashPage() {
  const { may, to } = useOperator();
  const id = useId();
  const [parameters, setParameters] = useSearchParams();
  const [asked, setAsked] = useState<'move' | 'stocktake' | null>(null);
  if (!may('cash-trail.read')) return <Denied title={text.title} />;
  const day = /^\d{4}-\d\d-\d\d$/.exec(parameters.get('day') ?? '')?.[0] ?? dayOf(new Date());
  const commands = (
    <div className="row">
      {may('cash-move.record') ? (
        <>
          <button type="button" className="button button-main" onClick={() => setAsked('move')}>
            {text.record.title}
          </button>
          <button type="button" className="button" onClick={() => setAsked('stocktake')}>
            {text.stocktake.title}
          </button>
        </>
      ) : null}
      <Link className="button" to={to('collections/cash/gaps')}>
        {text.openGaps.title}
      </Link>
    </div>
  );
  return (
    <Page title={text.title} lead={text.lead} actions={commands}>
      <div className="form">
        {/* A browser's picker says nothing while a day is half typed. */}
        <Field id={id} type="date" label={text.day} defaultValue={day} onValue={(value) => (value === '' ? undefined : setParameters({ day: value }, { replace: true }))} />
      </div>
      <Found key={day} day={day} />
      {asked === 'move' ? <RecordMove day={day} onClose={() => setAsked(null)} /> : null}
      {asked === 'stocktake' ? <RecordStocktake day={day} onClose={() => setAsked(null)} /> : null}
    </Page>
  );
}

function Found({ day }: { readonly day: string }) {
  const { api } = useOperator();
  const question = useQuery(cashTrailQuery(api, day));
  return (
    <Answer question={question} lines={10}>
      {(trail) => (
        <>
          {trail.rounds.length === 0 && trail.rooms.length === 0 && trail.tubes.length === 0 ? (
            <Blank title={text.nothing} />
          ) : (
            <>
              <Gaps trail={trail} />
              <div className={styles.rounds}>
                {trail.rounds.map((round) => (
                  <Round key={`${round.collectorId ?? ''} ${round.currency}`} round={round} />
                ))}
                {trail.rooms.map((room) => (
                  <Room key={room.currency} room={room} />
                ))}
              </div>
            </>
          )}
          <TubesSection tubes={trail.tubes} />
          <BagsSection bags={trail.bags} />
          <MovesSection moves={trail.moves} />
          <FundsSection />
        </>
      )}
    </Answer>
  );
}

type TubesGap = CashTrail['tubes'][number]['gaps'][number];
type Gap = CashTrail['rounds'][number]['gaps'][number];

function Gaps({ trail }: { readonly trail: CashTrail }) {
  const told = [
    ...trail.rounds.flatMap(({ gaps, collectorName, handedIn }) => gaps.map((gap) => sentenceOf(gap, { collectorName, isHandedIn: handedIn !== null }))),
    ...trail.rooms.flatMap(({ gap }) => (gap === null ? [] : [sentenceOf(gap, { collectorName: '', isHandedIn: true })])),
  ];
  const tubes = trail.tubes.flatMap((each) => each.gaps.map((gap) => tubeSentence(gap, each)));
  const bags = trail.bags.flatMap((bag) => (bag.finding === null ? [] : [`${text.bags.number} ${bag.number}, ${bag.siteCode}: ${text.bags.finding[bag.finding]}`]));
  const all = [...told, ...tubes, ...bags];
  return (
    <section className="section" aria-labelledby="gaps">
      <h2 id="gaps">{text.gaps}</h2>
      {all.length === 0 ? (
        <p>{text.noGaps}</p>
      ) : (
        <ul className="notice notice-alarm">
          {all.map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      )}
    </section>
  );
}

function sentenceOf(gap: Gap, { collectorName, isHandedIn }: { readonly collectorName: string; readonly isHandedIn: boolean }): string {
  const amount = formatMoney(gap.amount, locale, 'exceptZero');
  const holder = holderOf({ holder: gap.holder, collectorName });
  if (gap.kind === 'bags') return text.gap.bags({ amount, site: gap.siteCode ?? '', holder });
  return text.gap[gap.kind === 'handed-in' && !isHandedIn ? 'not-handed-in' : gap.kind]({ amount, holder });
}

function tubeSentence(gap: TubesGap, { machineTag, siteCode, fundCodes, collectorName }: CashTrail['tubes'][number]): string {
  const told = { amount: formatMoney(gap.amount, locale, 'exceptZero'), machine: machineTag, site: siteCode, fund: fundCodes.join(', ') };
  return gap.kind === 'tubes' ? text.gap.tubes(told) : text.gap[gap.kind]({ ...told, holder: holderOf({ holder: gap.holder ?? 'collector', collectorName }) });
}

function Round({ round }: { readonly round: CashTrail['rounds'][number] }) {
  const say = text.round;
  const title = say.title(round.collectorName);
  return (
    <section className="section">
      <h2>{title}</h2>
      <p className="soft">{[say.collections(round.collections), ...(round.waiting === 0 ? [] : [say.waiting(round.waiting)]), ...(round.notCountedAtMachine === 0 ? [] : [say.notCounted(round.notCountedAtMachine)])].join(' · ')}</p>
      <Reckoning
        title={title}
        lines={[
          { name: say.float, money: round.float },
          { name: say.removed, money: round.removed },
          { name: say.handed, money: negated(round.handed) },
          { name: say.refunds, money: negated(round.refunds) },
          { name: say.filled, money: negated(round.filled) },
          { name: say.toBring, money: round.toBring, look: 'sum' },
          { name: say.found, money: round.found },
          ...(round.handedIn === null ? [] : [{ name: say.handedIn, money: round.handedIn }]),
          { name: say.floatReturned, money: round.floatReturned },
          { name: say.difference, money: round.difference, look: 'end' },
        ]}
      />
    </section>
  );
}

function Room({ room }: { readonly room: CashTrail['rooms'][number] }) {
  const say = text.room;
  const title = say.title(room.currency);
  const zero = difference({ now: room.found, before: room.found }) ?? room.found;
  return (
    <section className="section">
      <h2>{title}</h2>
      <Reckoning
        title={title}
        lines={[
          { name: say.found, money: room.found },
          { name: say.handedIn, money: room.handedIn },
          { name: say.floatReturned, money: room.floatReturned },
          { name: say.emptied, money: room.emptied },
          { name: say.floatGiven, money: negated(room.floatGiven) },
          { name: say.filled, money: negated(room.filled) },
          { name: say.toPayIn, money: room.toPayIn, look: 'sum' },
          { name: say.paidIn, money: room.paidIn },
          { name: say.difference, money: room.gap?.amount ?? zero, look: 'end' },
        ]}
      />
      <p className="soft">{say.balance(formatMoney(room.balance, locale))}</p>
    </section>
  );
}

interface ReckoningProps {
  readonly title: string;
  readonly lines: readonly { readonly name: string; readonly money: Money; readonly look?: 'sum' | 'end' }[];
}

/** A sum as it is written on paper: what is nought is left out, sums never are. */
function Reckoning({ title, lines }: ReckoningProps) {
  return (
    <table>
      <caption className="visually-hidden">{title}</caption>
      <tbody>
        {lines
          .filter(({ money, look }) => look !== undefined || !isZero(money))
          .map(({ name, money, look }) => (
            <tr key={name} className={look}>
              <th scope="row">{name}</th>
              <td className="figure">
                <Amount money={money} />
              </td>
            </tr>
          ))}
      </tbody>
    </table>
  );
}
