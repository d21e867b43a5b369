import { useQuery } from '@tanstack/react-query';
import type { ComparedBoxes } from '../api/shapes';
import { locale } from '../format/locale';
import { formatMoney, isZero, type Money } from '../format/money';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { Expected, Variance } from './parts';
import { collectionVariancesQuery } from './queries';

const text = words.variances.compared;

type Item = ComparedBoxes['items'][number];

const say = (money: Money): string => formatMoney(money, locale);

/** Of one box and tender what was counted at the machine and what a second counter says, with who of three stands alone. */
function besideOf({ expected, counted, fieldCount, secondCounter }: Item): readonly string[] {
  return [
    ...(fieldCount === null ? [] : [`${text.field({ field: say(fieldCount.counted), room: say(counted) })} ${fieldCount.result === null ? '' : text.fieldResult[fieldCount.result]}`.trim()]),
    ...(secondCounter === null || expected === null
      ? []
      : [
          [
            isZero(secondCounter.apart) ? text.countersAgree : text.counters({ first: say(expected), second: say(secondCounter.expected), apart: say(secondCounter.apart) }),
            ...(secondCounter.tooFarApart ? [text.tooFarApart] : []),
            ...(secondCounter.result === null ? [] : [text.counterResult[secondCounter.result]]),
          ].join(' '),
        ]),
  ];
}

function playsOf({ expected, plays, counted, result }: ComparedBoxes['witnesses'][number]): string {
  return `${text.plays({ plays: say(plays), meters: say(expected), counted: say(counted) })} ${text.playsResult[result]}`;
}

/** What else says how much lay in one box, beside its meters and its count. */
export function Beside({ compared: { items, witnesses } }: { readonly compared: ComparedBoxes }) {
  const lines = [...items.flatMap((item) => besideOf(item).map((line) => `${words.variances.tender[item.tender]}: ${line}`)), ...witnesses.map(playsOf)];
  if (lines.length === 0) return null;
  return (
    <section className="section" aria-labelledby="beside">
      <h2 id="beside">{text.beside}</h2>
      <ul>
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </section>
  );
}

/** The boxes of an accepted collection against their meters, with what else speaks of each. */
export function CollectionCompared({ collectionId }: { readonly collectionId: string }) {
  const { api } = useOperator();
  const question = useQuery(collectionVariancesQuery(api, collectionId));
  if (question.data?.items.length === 0) return null;
  return (
    <section className="section" aria-labelledby="compared">
      <h2 id="compared">{text.title}</h2>
      <Answer question={question} lines={4}>
        {(compared) => <Boxes compared={compared} />}
      </Answer>
    </section>
  );
}

function Boxes({ compared: { items, witnesses } }: { readonly compared: ComparedBoxes }) {
  const heads = [words.variances.expected, words.variances.counted, words.variances.difference];
  return (
    <>
      <Wide title={text.title}>
        <table>
          <caption className="visually-hidden">{text.title}</caption>
          <thead>
            <tr>
              <th scope="col">{words.variances.machine}</th>
              {heads.map((head) => (
                <th key={head} scope="col" className="figure">
                  {head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {items.map((item) => (
              <tr key={`${item.machineId} ${item.tender}`}>
                <th scope="row">
                  {text.box(item.machineTag, words.variances.tender[item.tender])}
                  {besideOf(item).map((line) => (
                    <div key={line} className="soft small">
                      {line}
                    </div>
                  ))}
                </th>
                <td className="figure">
                  <Expected figure={item} />
                </td>
                <td className="figure">
                  <Amount money={item.counted} />
                </td>
                <td className="figure">
                  <Variance money={item.variance} />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      {witnesses.map((witness) => (
        <p key={witness.machineId}>{text.box(witness.machineTag, playsOf(witness))}</p>
      ))}
    </>
  );
}
