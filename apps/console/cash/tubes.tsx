import type { CashTrail } from '../api/shapes';
import { difference, type Money } from '../format/money';
import { Amount } from '../parts/amount';
import { Wide } from '../parts/wide';
import { words } from '../words/words';

const text = words.cash.tubes;

/** Change tubes that were read out on the day, against the funds of the books. */
export function TubesSection({ tubes }: { readonly tubes: CashTrail['tubes'] }) {
  if (tubes.length === 0) return null;
  return (
    <section className="section" aria-labelledby="tubes">
      <h2 id="tubes">{text.title}</h2>
      <p className="soft">{text.lead} {text.sameDay}</p>
      <p>{text.unconfirmed}</p>
      <Wide title={text.title}>
        <table>
          <caption className="visually-hidden">{text.title}</caption>
          <thead>
            <tr>
              <th scope="col">{text.machine}</th>
              <th scope="col">{text.fund}</th>
              {[text.booked, text.kept, text.contents, text.difference, text.filled, text.letOut].map((head) => (
                <th key={head} scope="col" className="figure">
                  {head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {tubes.map((each) => (
              <tr key={`${each.collectionId} ${each.machineTag}`}>
                <th scope="row">
                  <span className="code">{each.machineTag}</span> <span className="code small soft">{each.siteCode}</span>
                  {each.unknown === null ? null : <div className="small soft">{text.unknown[each.unknown]}</div>}
                </th>
                <td className="code">{each.fundCodes.join(', ')}</td>
                <Figure money={each.booked} />
                <Figure money={each.kept} />
                <Figure money={each.contents} />
                <Figure money={each.contents === null || each.expected === null ? null : difference({ now: each.contents, before: each.expected })} />
                <Both told={each.filledTold} booked={each.filledBooked} />
                <Both told={each.letOutTold} booked={each.letOutBooked} />
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}

function Both({ told, booked }: { readonly told: Money | null; readonly booked: Money | null }) {
  return (
    <td className="figure">
      {told === null || booked === null ? null : (
        <>
          <Amount money={told} /> / <Amount money={booked} />
        </>
      )}
    </td>
  );
}

function Figure({ money }: { readonly money: Money | null }) {
  return <td className="figure">{money === null ? null : <Amount money={money} />}</td>;
}
