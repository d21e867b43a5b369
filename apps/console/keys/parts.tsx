import { Link, NavLink } from 'react-router';
import type { KeyHolder, KeyHolding } from '../api/shapes';
import { formatInstantAt } from '../format/day';
import { locale } from '../format/locale';
import { Field } from '../parts/field';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { toInstant, toLocal } from './moment';
import styles from './keys.module.css';

/** The ways to ask about keys and to set them up, for whoever may ask all of them. */
export function KeyViews() {
  const { may, to } = useOperator();
  if (!may('key-attention.read')) return null;
  const views = [
    { path: 'keys', text: words.keys.holdings.view },
    { path: 'keys/openers', text: words.keys.openers.view },
    { path: 'keys/attention', text: words.keys.attention.view },
    { path: 'keys/cases', text: words.keyCases.view },
    { path: 'keys/inventories', text: words.keyInventories.view },
    { path: 'keys/own', text: words.keys.person.own },
    { path: 'keys/set-up', text: words.keySetUp.title },
  ];
  return (
    <nav aria-label={words.keys.views} className={styles.views}>
      {views.map(({ path, text }) => (
        <NavLink key={path} to={to(path)} end className="button button-small">
          {text}
        </NavLink>
      ))}
    </nav>
  );
}

interface MomentFieldProps {
  readonly id: string;
  readonly label: string;
  readonly hint?: string;
  readonly instant: string | undefined;
  readonly onInstant: (instant: string | undefined) => void;
}

/** A browser's picker says nothing while a moment is half typed; an empty one is told. */
export function MomentField({ id, label, hint, instant, onInstant }: MomentFieldProps) {
  return (
    <Field
      id={id} type="datetime-local" label={label} hint={hint} defaultValue={toLocal(instant)}
      onValue={(value) => (value === '' || toInstant(value) !== undefined ? onInstant(toInstant(value)) : undefined)}
    />
  );
}

/** By the clock of a place, where it is known; else by the reader's. */
export function Moment({ instant, timeZone }: { readonly instant: string; readonly timeZone?: string }) {
  return <time className={styles.whole} dateTime={instant}>{formatInstantAt(instant, locale, timeZone)}</time>;
}

/** A person leads to their keys, for whoever may see them. */
export function Holder({ holder }: { readonly holder: KeyHolder }) {
  const { may, to } = useOperator();
  const { kind, id, name, code, siteCode } = holder;
  return (
    <>
      {kind === 'person' && may('key-reach.read') ? <Link className={styles.amongText} to={to(`keys/people/${id}`)}>{name}</Link> : name} <span className="code small">{code}</span>
      {siteCode === null ? null : <span className="soft small">{` ${words.keys.openers.ofSite(siteCode)}`}</span>}
    </>
  );
}

export function Whereabouts({ where }: { readonly where: KeyHolding['where'] }) {
  if (where.holder !== null) return <Holder holder={where.holder} />;
  return <span className="state state-alarm">{where.state === 'destroyed' ? words.keys.state.destroyed : words.keys.state.missing}</span>;
}

export function CopyLink({ id, number }: { readonly id: string; readonly number: string }) {
  const { may, to } = useOperator();
  return may('key-reach.read') ? <Link className={styles.whole} to={to(`keys/copies/${id}`)}>{number}</Link> : <>{number}</>;
}

export function Code({ code, kind }: { readonly code: string; readonly kind: KeyHolding['class'] }) {
  return (
    <>
      <span className={styles.whole}>{code}</span> <span className="soft small">{words.keys.class[kind]}</span>
    </>
  );
}

/** Keyed alike elsewhere: said with every answer, because it is true of every answer. */
export function OutsideCopies({ codes }: { readonly codes: readonly string[] }) {
  if (codes.length === 0) return null;
  return (
    <div className="notice">
      <strong>{[...new Set(codes)].join(', ')}</strong>
      <p>{words.keys.outsideCopies}</p>
    </div>
  );
}
