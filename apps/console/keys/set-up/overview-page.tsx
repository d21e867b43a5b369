import { useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { Link } from 'react-router';
import type { KeyCode, KeyException, KeyRing, KeySite, KeyStore, Policies } from '../../api/shapes';
import { Answer } from '../../parts/answer';
import { Denied } from '../../parts/denied';
import { Page } from '../../parts/page';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { KeyViews } from '../parts';
import { linesOf } from '../policy-lines';
import { attentionQuery, keyCodesQuery, policiesQuery } from '../queries';
import { keyExceptionsQuery, keyRingsQuery, keySitesQuery, keyStoresQuery } from './queries';
import styles from './set-up.module.css';

const text = words.keySetUp;
const say = text.steps;

/** `keys/set-up`: what there is of keys, in the order in which an operator sets it up, and what is still missing. */
export function KeySetUpPage() {
  const { api, may, to } = useOperator();
  const allowed = may('key-site.read');
  const [codes, stores, sites, rings, exceptions, policies] = [
    useQuery({ ...keyCodesQuery(api), enabled: allowed }),
    useQuery({ ...keyStoresQuery(api), enabled: allowed }),
    useQuery({ ...keySitesQuery(api), enabled: allowed }),
    useQuery({ ...keyRingsQuery(api), enabled: allowed }),
    useQuery({ ...keyExceptionsQuery(api), enabled: allowed }),
    useQuery({ ...policiesQuery(api), enabled: allowed }),
  ];
  const attention = useQuery({ ...attentionQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead} actions={<KeyViews />}>
      <ol className={styles.steps}>
        <li>
          <Answer question={codes} lines={2}>{(found) => <Codes codes={found} />}</Answer>
        </li>
        <li>
          <Answer question={stores} lines={1}>{(found) => <Stores stores={found} />}</Answer>
        </li>
        <li>
          <Answer question={sites} lines={2}>{(found) => <Answer question={attention} lines={2}>{({ withoutAccessKey }) => <Sites sites={found} withoutKeys={withoutAccessKey.length} />}</Answer>}</Answer>
        </li>
        <li>
          <Answer question={rings} lines={1}>{(found) => <Rings rings={found} />}</Answer>
        </li>
        <li>
          <Answer question={exceptions} lines={1}>{(found) => <Exceptions exceptions={found} />}</Answer>
        </li>
        <li>
          <Answer question={policies} lines={1}>{(found) => <Policy policies={found} />}</Answer>
        </li>
      </ol>
      {may('import.create') && may('key-copy.make') ? (
        <p>
          {text.fromFile} <Link to={to('collections/imports?kind=keys')}>{text.fromFileLink}</Link>
        </p>
      ) : null}
    </Page>
  );
}

interface StepProps {
  readonly path: string;
  readonly title: string;
  readonly says: string;
  /** What is missing, a sentence for each thing. */
  readonly missing?: readonly (string | null)[];
}

function Step({ path, title, says, missing = [] }: StepProps) {
  const { to } = useOperator();
  const found = missing.filter((each) => each !== null);
  return (
    <>
      <Link to={to(path)} className="lead">
        {title}
      </Link>
      <p>{says}</p>
      {found.map((sentence) => (
        <Missing key={sentence}>{sentence}</Missing>
      ))}
    </>
  );
}

function Missing({ children }: { readonly children: ReactNode }) {
  return (
    <p className={styles.missing}>
      <strong>{say.todo}</strong> {children}
    </p>
  );
}

const names = (all: readonly { readonly code: string }[]): string | null => (all.length === 0 ? null : all.map(({ code }) => code).join(', '));
const when = (found: string | null, sentence: (found: string) => string): string | null => (found === null ? null : sentence(found));

function Codes({ codes }: { readonly codes: readonly KeyCode[] }) {
  const copies = codes.reduce((sum, code) => sum + code.copies, 0);
  const outside = names(codes.filter((code) => code.outsideCopies && code.locks > 0));
  const without = names(codes.filter((code) => code.copies === 0 && code.locks > 0));
  const says = codes.length === 0 ? say.codes(0) : `${say.codes(codes.length)} ${say.copies(copies)}`;
  return <Step path="keys/codes" title={text.codes.title} says={says} missing={[when(outside, say.outside), when(without, say.withoutCopies)]} />;
}

function Stores({ stores }: { readonly stores: readonly KeyStore[] }) {
  const without = stores.filter(({ custodian }) => custodian === null).map(({ name }) => name);
  return <Step path="keys/stores" title={text.stores.title} says={say.stores(stores.length)} missing={[without.length === 0 ? null : say.withoutCustodian(without.join(', '))]} />;
}

function Sites({ sites, withoutKeys }: { readonly sites: readonly KeySite[]; readonly withoutKeys: number }) {
  const sum = (of: (site: KeySite) => number): number => sites.reduce((total, site) => total + of(site), 0);
  const machines = sum((site) => site.machines);
  const withoutPlayArea = machines - sum((site) => site.playAreaLocked);
  const locks = say.locks({ machines, locked: sum((site) => site.cashBoxLocked) });
  const keys = machines === 0 ? null : say.atSites(withoutKeys);
  const missing = [withoutPlayArea === 0 ? null : say.withoutPlayArea(withoutPlayArea), withoutKeys === 0 ? null : keys];
  return <Step path="keys/sites" title={text.sites.title} says={keys === null || withoutKeys > 0 ? locks : `${locks} ${keys}`} missing={missing} />;
}

function Rings({ rings }: { readonly rings: readonly KeyRing[] }) {
  return <Step path="keys/rings" title={text.rings.title} says={say.rings(rings.length)} />;
}

function Exceptions({ exceptions }: { readonly exceptions: readonly KeyException[] }) {
  return <Step path="keys/exceptions" title={text.exceptions.title} says={say.exceptions(exceptions.filter(({ until }) => until === null).length)} />;
}

function Policy({ policies }: { readonly policies: Policies }) {
  const relaxed = linesOf(policies.current).filter(({ isRelaxed }) => isRelaxed).length;
  return <Step path="keys/policy" title={words.keyPolicy.title} says={words.keyPolicy.relaxedRules(relaxed)} missing={[policies.reviewOverdue ? words.keyPolicy.reviewTitle : null]} />;
}
