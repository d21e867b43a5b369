import type { ReactNode } from 'react';
import { NavLink } from 'react-router';
import { Field } from '../parts/field';
import { TextArea } from '../parts/text-area';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from '../keys/keys.module.css';

/** The ways between what is set up, for whoever may see it; what is set up once is reached from the overview. */
export function SetUpViews() {
  const { may, to } = useOperator();
  const views = [
    { path: 'sites', text: words.sites.title, shown: may('site.read') },
    { path: 'machines', text: words.machines.title, shown: may('machine.read') },
    { path: 'games', text: words.machines.games.title, shown: may('game.read') },
    { path: 'parties', text: words.setUp.parties.title, shown: may('party.read') },
    { path: 'persons', text: words.setUp.people.title, shown: may('person.read') },
    { path: 'set-up', text: words.setUp.title, shown: may('site.create') },
  ].filter(({ shown }) => shown);
  return (
    <nav aria-label={words.setUp.views} className={styles.views}>
      {views.map(({ path, text }) => (
        <NavLink key={path} to={to(path)} end={path !== 'set-up'} className="button button-small">
          {text}
        </NavLink>
      ))}
    </nav>
  );
}

interface Bound {
  readonly id: string;
  readonly value: string;
  readonly error: string | undefined;
  readonly onValue: (value: string) => void;
}

interface CodeFieldProps extends Bound {
  readonly label?: string;
  readonly hint?: string;
}

export function CodeField({ label = words.setUp.code, hint = words.setUp.codeHint, ...bound }: CodeFieldProps) {
  return <Field {...bound} label={label} hint={hint} autoComplete="off" autoCapitalize="characters" />;
}

export function AddressField({ label = words.setUp.address, ...bound }: Bound & { readonly label?: string }) {
  return <TextArea {...bound} label={label} hint={words.setUp.addressHint} />;
}

const timeZones: readonly string[] = Intl.supportedValuesOf('timeZone');

/** Whether the browser knows it; the api says the same of what it does not. */
export const isTimeZone = (name: string): boolean => timeZones.includes(name) || name === 'UTC';

/** Where the reader is, as the first proposal. */
export const timeZoneHere = (): string => new Intl.DateTimeFormat().resolvedOptions().timeZone;

/** Found by typing a part of it: there are some four hundred. */
export function TimeZoneField(bound: Bound) {
  const list = `${bound.id}-list`;
  return (
    <>
      <Field {...bound} label={words.setUp.timeZone} hint={words.setUp.timeZoneHint} autoComplete="off" list={list} />
      <datalist id={list}>
        {timeZones.map((name) => (
          <option key={name} value={name} />
        ))}
      </datalist>
    </>
  );
}

/** Languages that statements are written in, with the regions where they are common; others may be typed. */
const languages = ['en-US', 'en-CA', 'en-GB', 'en-IE', 'de-DE', 'de-AT', 'de-CH', 'es-ES', 'es-MX', 'es-US'];

export function LanguageField({ label, hint, ...bound }: Bound & { readonly label: string; readonly hint: string }) {
  const list = `${bound.id}-list`;
  return (
    <>
      <Field {...bound} label={label} hint={hint} autoComplete="off" list={list} />
      <datalist id={list}>
        {languages.map((name) => (
          <option key={name} value={name} />
        ))}
      </datalist>
    </>
  );
}

interface OpenButtonProps {
  readonly children: ReactNode;
  readonly main?: boolean;
  /** What it is about, for those who hear the button without the row around it. */
  readonly about?: string;
  readonly onClick: () => void;
}

export function OpenButton({ children, main = false, about, onClick }: OpenButtonProps) {
  return (
    <button type="button" className={main ? 'button button-main' : 'button button-small'} onClick={onClick}>
      {children}
      {about === undefined ? null : <span className="visually-hidden">{` ${about}`}</span>}
    </button>
  );
}
