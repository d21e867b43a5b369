import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import { Link } from 'react-router';
import type { HoldingFilter } from '../api/keys-api';
import { useAddressParameters } from '../parts/address-parameters';
import { Answer, Blank, type Question } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Download } from '../parts/download';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { HoldingsTable } from './holdings-table';
import { instantFrom } from './moment';
import { KeyViews, MomentField, OutsideCopies } from './parts';
import { OwnKeysPage } from './own/own-keys-page';
import { ToConfirm } from './own/to-confirm';
import { everySiteQuery, holdingsQuery, keyCodesQuery, peopleQuery } from './queries';
import { SiteKeysPage } from './site-keys-page';
import styles from './keys.module.css';

/** `keys`: who holds which key; for a site manager those with their staff, for whoever looks after none but their own, these. */
export function KeysPage() {
  const { may, membership } = useOperator();
  if (membership.role === 'site-manager') return <SiteKeysPage />;
  if (may('key-holding.read')) return <HoldingsPage />;
  return may('own-keys.read') ? <OwnKeysPage /> : <Denied title={words.keys.title} />;
}

const ways = ['all', 'person', 'site', 'opens', 'code'] as const;
type Way = (typeof ways)[number];

function HoldingsPage() {
  const { may } = useOperator();
  const [parameters, change] = useAddressParameters();
  const id = useId();
  const by: Way = ways.find((each) => each === parameters.get('by')) ?? 'all';
  const chosen = /^[0-9a-f-]{36}$/.exec(parameters.get('of') ?? '')?.[0];
  const [at, knownAt] = [instantFrom(parameters, 'at'), instantFrom(parameters, 'knownAt')];
  const clocks = { ...(at === undefined ? {} : { at }), ...(knownAt === undefined ? {} : { knownAt }) };
  const filter = filterOf(by, chosen);
  return (
    <Page title={words.keys.title} actions={<KeyViews />}>
      <ToConfirm />
      {may('key-reach.read') ? (
        <div className={styles.asking}>
          <div className="field">
            <label htmlFor={`${id}-by`}>{words.keys.holdings.show}</label>
            <select id={`${id}-by`} value={by} onChange={(event) => change({ by: event.currentTarget.value, of: undefined })}>
              {ways.map((each) => (
                <option key={each} value={each}>
                  {words.keys.holdings.by[each]}
                </option>
              ))}
            </select>
          </div>
          {by === 'all' ? null : <Choice key={by} by={by} chosen={chosen} onChoose={(of) => change({ of })} />}
          <MomentField id={`${id}-at`} label={words.keys.at} hint={words.keys.atHint} instant={at} onInstant={(instant) => change({ at: instant })} />
          <MomentField id={`${id}-known`} label={words.keys.knownAt} hint={words.keys.knownAtHint} instant={knownAt} onInstant={(instant) => change({ knownAt: instant })} />
        </div>
      ) : null}
      {filter === null ? <Blank title={words.keys.holdings.noneChosen} /> : <Found key={JSON.stringify([filter, clocks])} filter={{ ...filter, ...clocks }} />}
    </Page>
  );
}

/** What the list is narrowed to, or `null` while it is not said to whom. */
function filterOf(by: Way, chosen: string | undefined): HoldingFilter | null {
  if (by === 'all') return {};
  if (chosen === undefined) return null;
  return by === 'person' ? { personId: chosen } : by === 'site' ? { heldAtSiteId: chosen } : by === 'opens' ? { opensAtSiteId: chosen } : { keyCodeId: chosen };
}

interface ChoiceProps {
  readonly by: Exclude<Way, 'all'>;
  readonly chosen: string | undefined;
  readonly onChoose: (id: string | undefined) => void;
}

function Choice({ by, ...choice }: ChoiceProps) {
  if (by === 'person') return <PersonChoice label={words.keys.holdings.which[by]} {...choice} />;
  return by === 'code' ? <CodeChoice label={words.keys.holdings.which[by]} {...choice} /> : <SiteChoice label={words.keys.holdings.which[by]} {...choice} />;
}

type OneChoiceProps = Omit<ChoiceProps, 'by'> & { readonly label: string };

function PersonChoice(choice: OneChoiceProps) {
  const { api } = useOperator();
  const question = useQuery(peopleQuery(api));
  return <OneOf question={question} {...choice} named={({ name, code }) => `${name} (${code})`} />;
}

function SiteChoice(choice: OneChoiceProps) {
  const { api } = useOperator();
  const question = useQuery(everySiteQuery(api));
  return <OneOf question={question} {...choice} named={({ name, code }) => `${name} (${code})`} />;
}

function CodeChoice(choice: OneChoiceProps) {
  const { api } = useOperator();
  const question = useQuery(keyCodesQuery(api));
  return <OneOf question={question} {...choice} named={(key) => `${key.code} (${words.keys.class[key.class]})`} />;
}

interface OneOfProps<Item> extends OneChoiceProps {
  readonly question: Question<readonly Item[]>;
  readonly named: (item: Item) => string;
}

function OneOf<Item extends { readonly id: string }>({ question, label, chosen, onChoose, named }: OneOfProps<Item>) {
  const selectId = useId();
  return (
    <Answer question={question} lines={1}>
      {(items) => (
        <div className="field">
          <label htmlFor={selectId}>{label}</label>
          <select id={selectId} value={chosen ?? ''} onChange={(event) => onChoose(event.currentTarget.value === '' ? undefined : event.currentTarget.value)}>
            <option value="">{words.keys.holdings.choose}</option>
            {items.map((item) => (
              <option key={item.id} value={item.id}>
                {named(item)}
              </option>
            ))}
          </select>
        </div>
      )}
    </Answer>
  );
}

function Found({ filter }: { readonly filter: HoldingFilter }) {
  const { api, may, to } = useOperator();
  const question = useInfiniteQuery(holdingsQuery(api, filter));
  const found = question.data?.pages.flatMap((page) => page.items);
  return (
    <Answer question={{ ...question, data: found }} lines={8}>
      {(holdings) =>
        holdings.length === 0 ? (
          <Blank title={words.keys.holdings.none}>{may('key-copy.make') ? <Link to={to('keys/set-up')}>{words.keySetUp.begin}</Link> : null}</Blank>
        ) : (
          <div className="stack">
            <OutsideCopies codes={holdings.filter(({ outsideCopies }) => outsideCopies).map(({ code }) => code)} />
            <HoldingsTable holdings={holdings} />
            <More question={question} />
            <Download file={() => api.keyHoldingsFile(filter)} />
          </div>
        )
      }
    </Answer>
  );
}
