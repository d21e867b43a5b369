import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { VarianceAttribution } from '../api/shapes';
import type { AttributionAsked } from '../api/variances-api';
import { dayOf } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { Page } from '../parts/page';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { formatChance } from './chance';
import { VarianceViews, Withheld } from './parts';
import { varianceAttributionQuery } from './queries';
import styles from './variances.module.css';

const text = words.variances.attribution;
const yearMs = 365 * 86_400_000;

/** `variances/attribution`: shortages with and without each holder of keys, for the owner. Only a click asks, because looking is recorded. */
export function AttributionPage() {
  const { may } = useOperator();
  const id = useId();
  const [from, setFrom] = useState(() => dayOf(new Date(Date.now() - yearMs)));
  const [to, setTo] = useState(() => dayOf(new Date()));
  const [asked, setAsked] = useState<AttributionAsked | null>(null);
  if (!may('variance.attribute')) return <Denied title={text.title} />;
  return (
    <Page title={text.title} actions={<VarianceViews />}>
      <form
        className={styles.asking}
        onSubmit={(event) => {
          event.preventDefault();
          setAsked({ from, to });
        }}
      >
        <Field id={`${id}-from`} type="date" required label={text.from} value={from} onValue={setFrom} />
        <Field id={`${id}-to`} type="date" required label={text.to} value={to} onValue={setTo} />
        <button type="submit" className="button button-main">
          {text.ask}
        </button>
      </form>
      {asked === null ? <Blank title={text.notYet} /> : <Found key={`${asked.from} ${asked.to}`} asked={asked} />}
    </Page>
  );
}

function Found({ asked }: { readonly asked: AttributionAsked }) {
  const { api } = useOperator();
  const question = useQuery(varianceAttributionQuery(api, asked));
  return (
    <Answer question={question} lines={10}>
      {(answer) => (
        <>
          <div className="notice notice-alarm">
            <strong>{text.cautionTitle}</strong>
            <p>{answer.caution}</p>
            <p>{text.recorded}</p>
          </div>
          <Withheld sites={answer.withheldSites} />
          {answer.result === 'compared' ? <Holders answer={answer} /> : <Blank title={text.result[answer.result]} />}
          {answer.alwaysHeld.length === 0 ? null : <AlwaysHeld held={answer.alwaysHeld} />}
          <section className="section" aria-labelledby="method">
            <h2 id="method">{text.method}</h2>
            <p>{answer.method}</p>
            <p>{text.intervals(figures(answer.intervals))}</p>
          </section>
        </>
      )}
    </Answer>
  );
}

const number = new Intl.NumberFormat(locale);
const figures = ({ short, all }: VarianceAttribution['intervals']) => ({ short: number.format(short), all: number.format(all) });
const chanceText = (chance: number): string => formatChance(chance, locale, text.below);

function Holders({ answer: { items } }: { readonly answer: VarianceAttribution }) {
  const heads = [text.held, text.notHeld, text.chance, text.corrected, text.within];
  return (
    <section className="section" aria-labelledby="holders">
      <h2 id="holders">{text.table}</h2>
      <Wide title={text.table}>
        <table>
          <caption className="visually-hidden">{text.table}</caption>
          <thead>
            <tr>
              <th scope="col">{text.person}</th>
              {heads.map((head) => (
                <th key={head} scope="col" className="figure">
                  {head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {items.map(({ person, held, notHeld, chance, correctedChance, withinMachines }) => (
              <tr key={person.personId}>
                <th scope="row">
                  <Person person={person} />
                </th>
                <td className="figure">{text.of(figures(held))}</td>
                <td className="figure">{text.of(figures(notHeld))}</td>
                <td className="figure">{chanceText(chance)}</td>
                <td className="figure">{chanceText(correctedChance)}</td>
                <td className="figure">
                  {chanceText(withinMachines.correctedChance)}
                  <div className="soft small">{text.withinMachines(withinMachines.machines)}</div>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      <p className="soft">{text.chanceHint}</p>
    </section>
  );
}

function Person({ person }: { readonly person: VarianceAttribution['items'][number]['person'] }) {
  const { to } = useOperator();
  return (
    <>
      <Link to={to(`keys/people/${person.personId}`)}>{person.name}</Link> <span className="code small">{person.code}</span>
    </>
  );
}

function AlwaysHeld({ held }: { readonly held: VarianceAttribution['alwaysHeld'] }) {
  return (
    <section className="section" aria-labelledby="always-held">
      <h2 id="always-held">{text.alwaysHeld}</h2>
      <p>{text.alwaysHeldWhat}</p>
      <ul>
        {held.map((each) => (
          <li key={each.person.personId}>
            <Person person={each.person} />: {text.of(figures(each.held))}
          </li>
        ))}
      </ul>
    </section>
  );
}
