import { useQuery } from '@tanstack/react-query';
import { useState, type ReactNode } from 'react';
import type { BoxCount, CashHanded, Collection, FieldCount, RefundSlip } from '../api/shapes';
import { formatCount } from '../format/count';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { formatAmount, formatMoney, isZero, negated, type Money } from '../format/money';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { TroubleNotice } from '../parts/trouble';
import { Wide } from '../parts/wide';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { CorrectCount } from './correct-count';
import { CorrectFieldCount } from './correct-field-count';
import { CorrectHanded, CorrectSlip } from './correct-receipt';
import { standingOf } from './figure-history';
import { FilledOutOf } from './filled-out-of';
import { collectionQuery, fieldCountsQuery } from './queries';

const text = words.entered;

type Asked = { readonly kind: 'count'; readonly figure: BoxCount } | { readonly kind: 'at-machine'; readonly figure: FieldCount } | { readonly kind: 'slip'; readonly figure: RefundSlip } | { readonly kind: 'handed'; readonly figure: CashHanded };

/** What was counted, given back and handed over at a visit, with what it was before it was corrected; each figure is corrected here. */
export function Entered({ collectionId }: { readonly collectionId: string }) {
  const { api } = useOperator();
  const question = useQuery(collectionQuery(api, collectionId));
  return (
    <Answer question={question} lines={8}>
      {(collection) => <Figures collection={collection} />}
    </Answer>
  );
}

function Figures({ collection }: { readonly collection: Collection }) {
  const { may } = useOperator();
  const [asked, setAsked] = useState<Asked | null>(null);
  const close = () => setAsked(null);
  const corrects = collection.state !== 'discarded' && may('collection.correct', collection.state);
  const ask = corrects ? setAsked : null;
  return (
    <>
      {collection.bagged ? <p className="soft">{text.bagged}</p> : null}
      {collection.blind || collection.counts.length === 0 ? null : <p className="notice">{text.notBlind}</p>}
      <Counts counts={collection.counts} onCorrect={ask} />
      {may('field-count.read', collection.state) ? <AtMachines collectionId={collection.id} onCorrect={collection.state === 'accepted' ? ask : null} /> : null}
      <Slips slips={collection.refundSlips} onCorrect={ask} />
      <Handed handed={collection.cashHanded} onCorrect={ask} />
      <FilledOutOf collection={collection} />
      {asked?.kind === 'count' ? <CorrectCount collection={collection} count={asked.figure} onClose={close} /> : null}
      {asked?.kind === 'at-machine' ? <CorrectFieldCount collection={collection} count={asked.figure} onClose={close} /> : null}
      {asked?.kind === 'slip' ? <CorrectSlip collection={collection} slip={asked.figure} onClose={close} /> : null}
      {asked?.kind === 'handed' ? <CorrectHanded collection={collection} handed={asked.figure} onClose={close} /> : null}
    </>
  );
}

type OnCorrect = ((asked: Asked) => void) | null;

function Counts({ counts, onCorrect }: { readonly counts: readonly BoxCount[]; readonly onCorrect: OnCorrect }) {
  const say = text.counts;
  const standing = standingOf(counts);
  const inParts = new Set(standing.filter(({ figure }) => figure.part > 1).map(({ figure }) => figure.placementId));
  return (
    <FigureTable id="counts" title={say.title} none={say.none} amounts={[say.coin, say.note]} withCommands={onCorrect !== null}>
      {standing.map(({ figure, before }) => {
        const name = inParts.has(figure.placementId) && figure.part > 0 ? `${figure.machineTag}, ${say.part(figure.part)}` : figure.machineTag;
        return (
          <tr key={figure.id}>
            <th scope="row">
              <span className="whole">{name}</span>
              <Small lines={figure.part === 0 ? [say.takenOut] : besideOf(figure)} />
              {/* What follows the receipts is explained there. */}
              {figure.part === 0 ? null : <History figure={figure} before={before} say={({ coin, note }) => say.was({ coin: formatAmount(coin, locale), note: formatAmount(note, locale) })} />}
            </th>
            <Figure money={figure.coin} />
            <Figure money={figure.note} />
            <CorrectCell kind={text.count} what={text.countOf(name)} onCorrect={onCorrect === null ? null : figure.part === 0 ? 'by-receipt' : () => onCorrect({ kind: 'count', figure })} />
          </tr>
        );
      })}
    </FigureTable>
  );
}

/** What was counted at the machines before the counting room counted the same boxes; left out where nobody did. */
function AtMachines({ collectionId, onCorrect }: { readonly collectionId: string; readonly onCorrect: OnCorrect }) {
  const { api } = useOperator();
  const { data, error, isError, refetch } = useQuery(fieldCountsQuery(api, collectionId));
  const say = text.atMachines;
  const standing = standingOf(data?.items ?? []);
  // Left out, it would read as: nobody counted there.
  if (isError && data === undefined) return <TroubleNotice error={error} onRetry={() => void refetch()} />;
  if (standing.length === 0) return null;
  const lacking = new Map(data?.boxes.map(({ placementId, roomLess }) => [placementId, roomLess]));
  return (
    <FigureTable id="at-machines" title={say.title} none="" amounts={[text.counts.coin, text.counts.note]} withCommands={onCorrect !== null}>
      {standing.map(({ figure, before }) => {
        const roomLess = lacking.get(figure.placementId) ?? null;
        return (
          <tr key={figure.id}>
            <th scope="row">
              {figure.machineTag}
              <Small lines={[...(roomLess === null || (isZero(roomLess.coin) && isZero(roomLess.note)) ? [] : [say.roomLess({ coin: formatMoney(negated(roomLess.coin), locale, 'exceptZero'), note: formatMoney(negated(roomLess.note), locale, 'exceptZero') })]), ...(figure.blind ? [] : [say.notBlind])]} />
              <History figure={figure} before={before} say={({ coin, note }) => text.counts.was({ coin: formatAmount(coin, locale), note: formatAmount(note, locale) })} />
            </th>
            <Figure money={figure.coin} />
            <Figure money={figure.note} />
            <CorrectCell kind={text.count} what={say.countOf(figure.machineTag)} onCorrect={onCorrect === null ? null : () => onCorrect({ kind: 'at-machine', figure })} />
          </tr>
        );
      })}
    </FigureTable>
  );
}

/** What lay in the box beside cash, as far as something did. */
function besideOf({ tokens, houseCoin, badCoin, meteredAmount, cashWith }: BoxCount): readonly string[] {
  const say = text.counts;
  return [
    ...tokens.map(({ tokenId, pieces }) => say.tokens(tokenId, formatCount(pieces, locale))),
    ...(isZero(houseCoin) ? [] : [say.houseCoin(formatMoney(houseCoin, locale))]),
    ...(isZero(badCoin) ? [] : [say.badCoin(formatMoney(badCoin, locale))]),
    ...(meteredAmount === null ? [] : [say.metered(formatMoney(meteredAmount, locale))]),
    ...(cashWith === 'collector' ? [say.withCollector] : []),
  ];
}

function Slips({ slips, onCorrect }: { readonly slips: readonly RefundSlip[]; readonly onCorrect: OnCorrect }) {
  const say = text.slips;
  const paid = ({ paidBy, coin, claims }: RefundSlip): readonly string[] => [...claims.map(({ number, reason }) => say.claimed(number, reason)), say.paidBy[paidBy], ...(coin === null ? [] : [text.handed.coins(formatMoney(coin, locale))])];
  return (
    <FigureTable id="slips" title={say.title} none={say.none} amounts={[say.amount]} withCommands={onCorrect !== null}>
      {standingOf(slips).map(({ figure, before }) => (
        <tr key={figure.id}>
          <th scope="row">
            {say.of(figure.machineTag, formatDay(figure.refundedOn, locale))}
            <Small lines={paid(figure)} />
            {figure.alike === null ? null : <Small lines={[say.alike(figure.alike.number, formatDay(figure.alike.collectedOn, locale))]} />}
            <History figure={figure} before={before} say={(each) => [formatMoney(each.amount, locale), ...paid(each)].join(', ')} />
          </th>
          <Figure money={figure.amount} />
          <CorrectCell kind={text.slip} what={text.slipOf(figure.machineTag)} onCorrect={onCorrect === null ? null : () => onCorrect({ kind: 'slip', figure })} />
        </tr>
      ))}
    </FigureTable>
  );
}

function Handed({ handed, onCorrect }: { readonly handed: readonly CashHanded[]; readonly onCorrect: OnCorrect }) {
  const say = text.handed;
  const to = ({ acknowledgedBy, machineTag, coin }: CashHanded) =>
    [acknowledgedBy === null ? say.toNobody : say.to(acknowledgedBy), ...(machineTag === null ? [] : [say.from(machineTag)]), ...(coin === null ? [] : [say.coins(formatMoney(coin, locale))])].join(', ');
  return (
    <FigureTable id="handed-over" title={say.title} none={say.none} amounts={[say.amount]} withCommands={onCorrect !== null}>
      {standingOf(handed).map(({ figure, before }) => (
        <tr key={figure.id}>
          <th scope="row">
            {to(figure)}
            <History figure={figure} before={before} say={(each) => `${formatMoney(each.amount, locale)}, ${to(each)}`} />
          </th>
          <Figure money={figure.amount} />
          <CorrectCell kind={text.handOut} what={text.handOut} onCorrect={onCorrect === null ? null : () => onCorrect({ kind: 'handed', figure })} />
        </tr>
      ))}
    </FigureTable>
  );
}

interface FigureTableProps {
  readonly id: string;
  readonly title: string;
  readonly none: string;
  /** Heads of the columns of figures. */
  readonly amounts: readonly string[];
  readonly withCommands: boolean;
  readonly children: readonly ReactNode[];
}

function FigureTable({ id, title, none, amounts, withCommands, children }: FigureTableProps) {
  return (
    <section className="section" aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      {children.length === 0 ? (
        <p className="soft">{none}</p>
      ) : (
        <Wide title={title}>
          <table>
            <caption className="visually-hidden">{title}</caption>
            <thead>
              <tr>
                <td />
                {amounts.map((amount) => (
                  <th key={amount} scope="col" className="figure">
                    {amount}
                  </th>
                ))}
                {withCommands ? <th scope="col">{words.commands}</th> : null}
              </tr>
            </thead>
            <tbody>{children}</tbody>
          </table>
        </Wide>
      )}
    </section>
  );
}

function Figure({ money }: { readonly money: Money }) {
  return (
    <td className="figure">
      <Amount money={money} />
    </td>
  );
}

/** No cell where nobody may correct, and an empty one where there is nothing to. */
function CorrectCell({ kind, what, onCorrect }: { readonly kind: string; readonly what: string; readonly onCorrect: (() => void) | 'by-receipt' | null }) {
  if (onCorrect === null) return null;
  if (onCorrect === 'by-receipt') return <td />;
  return (
    <td>
      <button type="button" className="button button-small" aria-label={text.correctOne(what)} onClick={onCorrect}>
        {text.correctOne(kind)}
      </button>
    </td>
  );
}

function Small({ lines }: { readonly lines: readonly string[] }) {
  return lines.length === 0 ? null : <div className="soft small">{lines.join(', ')}</div>;
}

interface Recorded {
  readonly id: string;
  readonly reason: string | null;
  readonly recordedAt: string;
  readonly recordedBy: string;
  readonly withoutSecondPerson: boolean;
}

/** What stood there before, with who put it right, when and why. */
function History<Figure extends Recorded>({ figure, before, say }: { readonly figure: Figure; readonly before: readonly Figure[]; readonly say: (figure: Figure) => string }) {
  const actorName = useActorName();
  return before.map((earlier, place) => {
    const by = before[place - 1] ?? figure;
    const sentence = text.was({ figure: say(earlier), moment: formatInstant(by.recordedAt, locale), by: actorName(by.recordedBy), reason: by.reason ?? '' });
    return <Small key={earlier.id} lines={[sentence, ...(by.withoutSecondPerson ? [text.alone] : [])]} />;
  });
}
