import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { Link } from 'react-router';
import { locale } from '../format/locale';
import { everySiteQuery, peopleQuery } from '../keys/queries';
import { today } from '../keys/set-up/day-field';
import { gamesQuery, machinesFoundQuery } from '../machines/queries';
import { Answer, type Question } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { taxAreasQuery } from '../tax/queries';
import { words } from '../words/words';
import { SetUpViews } from './parts';
import { everyAgreementQuery, everyPartyQuery, operatorQuery, toleranceQuery } from './queries';
import { sitesWithout } from './sites-without';
import styles from '../keys/set-up/set-up.module.css';

const say = words.setUp.steps;
/** So many are named; the others follow when these are done. */
const shown = 5;

/** `set-up`: what a first statement needs, in the order in which an operator sets it up, and what is still missing. */
export function SetUpPage() {
  const { may, to } = useOperator();
  const allowed = may('site.create');
  if (!allowed) return <Denied title={words.setUp.title} />;
  return (
    <Page title={words.setUp.title} lead={words.setUp.lead} actions={<SetUpViews />}>
      <ol className={styles.steps}>
        {may('operator.change') ? <OfficeStep /> : null}
        <TaxStep />
        <SiteSteps />
        <MachineStep />
        <GameStep />
        <PeopleStep />
        {may('tolerance-rule-set.record') ? <ToleranceStep /> : null}
        {may('member.invite') ? <Step path="people" title={words.people.title} says={say.members} /> : null}
        {may('key-site.read') ? <Step path="keys/set-up" title={words.keySetUp.title} says={say.keys} /> : null}
      </ol>
      <section className="section" aria-labelledby="then">
        <h2 id="then">{words.setUp.then.title}</h2>
        <p>{words.setUp.then.text}</p>
        <div className="row">
          <Link to={to('collections/enter')} className="button">
            {words.setUp.then.collect}
          </Link>
          <Link to={to('month-end')} className="button">
            {words.setUp.then.monthEnd}
          </Link>
        </div>
      </section>
    </Page>
  );
}

interface StepProps {
  readonly path: string;
  readonly title: string;
  readonly says: string;
  /** What is missing, in a sentence; null where nothing is. */
  readonly missing?: ReactNode;
}

function Step({ path, title, says, missing = null }: StepProps) {
  const { to } = useOperator();
  return (
    <li>
      <Link to={to(path)} className="lead">
        {title}
      </Link>
      {missing === null ? (
        <p>{says}</p>
      ) : (
        <p className={styles.missing}>
          <strong>{words.setUp.todo}</strong> {missing}
        </p>
      )}
    </li>
  );
}

interface AskedStepProps<Data> {
  readonly question: Question<Data>;
  readonly path: string;
  readonly title: string;
  readonly says: (data: Data) => string;
  readonly isMissing: (data: Data) => boolean;
}

/** A step of which an answer says whether it is done. */
function AskedStep<Data>({ question, path, title, says, isMissing }: AskedStepProps<Data>) {
  const { to } = useOperator();
  if (question.data !== undefined) return <Step path={path} title={title} says={says(question.data)} missing={isMissing(question.data) ? says(question.data) : null} />;
  return (
    <li>
      <Link to={to(path)} className="lead">
        {title}
      </Link>
      <Answer question={question} lines={1}>{() => null}</Answer>
    </li>
  );
}

function OfficeStep() {
  const { api } = useOperator();
  const question = useQuery(operatorQuery(api));
  return (
    <AskedStep
      question={question} path="set-up/office" title={words.setUp.operator.title} says={({ name, addressLines }) => say.operator({ name, hasAddress: addressLines.length > 0 })}
      isMissing={({ addressLines }) => addressLines.length === 0}
    />
  );
}

function TaxStep() {
  const { api } = useOperator();
  const question = useQuery(taxAreasQuery(api));
  return <AskedStep question={question} path="set-up/tax-areas" title={words.setUp.taxAreas.title} says={({ items }) => say.taxAreas(items.length)} isMissing={({ items }) => items.length === 0} />;
}

/** Parties, sites, and what they have agreed on. */
function SiteSteps() {
  const { api, to } = useOperator();
  const sites = useQuery(everySiteQuery(api));
  const parties = useQuery(everyPartyQuery(api));
  const agreements = useQuery(everyAgreementQuery(api));
  const both = sites.data === undefined || agreements.data === undefined ? undefined : { sites: sites.data, agreements: agreements.data };
  const without = both === undefined ? [] : sitesWithout({ ...both, on: today() });
  return (
    <>
      <AskedStep question={parties} path="parties" title={words.setUp.parties.title} says={(found) => say.parties(found.length)} isMissing={(found) => found.length === 0} />
      <AskedStep question={sites} path="sites" title={words.sites.title} says={(found) => say.sites(found.length)} isMissing={(found) => found.length === 0} />
      {both === undefined ? null : (
        <li>
          <span className="lead">{words.setUp.parties.agreements}</span>
          <p className={without.length > 0 || both.sites.length === 0 ? styles.missing : undefined}>
            {without.length > 0 ? <strong>{`${words.setUp.todo} `}</strong> : null}
            {say.agreements({ sites: both.sites.length, without: without.length })}
          </p>
          {without.length === 0 ? null : (
            <ul className="row">
              {without.slice(0, shown).map(({ id, name }) => (
                <li key={id}>
                  <Link to={to(`agreements/new?site=${id}`)}>{say.agree(name)}</Link>
                </li>
              ))}
            </ul>
          )}
        </li>
      )}
    </>
  );
}

function MachineStep() {
  const { api } = useOperator();
  const question = useInfiniteQuery(machinesFoundQuery(api, { search: '' }));
  const [first] = question.data?.pages ?? [];
  const data = first === undefined ? undefined : { machines: first.items.length, more: first.next !== null };
  return <AskedStep question={{ ...question, data }} path="machines" title={words.machines.title} says={say.machines} isMissing={({ machines }) => machines === 0} />;
}

function GameStep() {
  const { api } = useOperator();
  const question = useQuery(gamesQuery(api));
  return <AskedStep question={question} path="games" title={words.machines.games.title} says={(games) => say.games(games.length)} isMissing={() => false} />;
}

function ToleranceStep() {
  const { api } = useOperator();
  const question = useQuery(toleranceQuery(api));
  return (
    <AskedStep
      question={question} path="set-up/tolerances" title={words.setUp.tolerance.title} isMissing={({ withoutTolerance }) => withoutTolerance.length > 0}
      says={({ withoutTolerance }) => (withoutTolerance.length === 0 ? say.tolerance : words.variances.noTolerance.says(new Intl.ListFormat(locale).format(withoutTolerance)))}
    />
  );
}

function PeopleStep() {
  const { api } = useOperator();
  const question = useQuery(peopleQuery(api));
  return <AskedStep question={question} path="persons" title={words.setUp.people.title} says={(people) => say.people(people.length)} isMissing={(people) => people.length === 0} />;
}
