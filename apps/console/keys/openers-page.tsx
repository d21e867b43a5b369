import { useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import type { OpenersAsked } from '../api/keys-api';
import { MachineField } from '../machines/choice';
import { useAddressParameters } from '../parts/address-parameters';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { instantFrom } from './moment';
import { OpenersAnswer } from './openers-answer';
import { KeyViews, MomentField } from './parts';
import { machinesQuery } from './queries';
import styles from './keys.module.css';

const times = ['now', 'moment', 'interval'] as const;
type Time = (typeof times)[number];

/** `keys/openers`: who could open a machine, now, at a moment, or at any time between two. */
export function KeyOpenersPage() {
  const { may } = useOperator();
  const [parameters, change] = useAddressParameters();
  if (!may('key-reach.read') || !may('machine.read')) return <Denied title={words.keys.openers.view} />;
  const asked = askedBy(parameters);
  return (
    <Page title={words.keys.openers.view} actions={<KeyViews />}>
      <Asking parameters={parameters} onChange={(name, value) => change({ [name]: value })} />
      {'blank' in asked ? <Blank title={asked.blank} /> : <OpenersAnswer key={JSON.stringify(asked)} asked={asked} />}
    </Page>
  );
}

/** What the address asks, or what is still missing. */
function askedBy(parameters: URLSearchParams): OpenersAsked | { blank: string } {
  const machineId = machineOf(parameters);
  if (machineId === undefined) return { blank: words.keys.openers.notYet };
  const knownAt = instantFrom(parameters, 'knownAt');
  const base = { machineId, opens: partOf(parameters), ...(knownAt === undefined ? {} : { knownAt }) };
  const time = timeOf(parameters);
  if (time === 'now') return { machineId, opens: base.opens };
  const [at, from, before] = ['at', 'from', 'before'].map((name) => instantFrom(parameters, name));
  if (time === 'moment') return at === undefined ? { blank: words.keys.openers.incomplete } : { ...base, at };
  if (from === undefined) return { blank: words.keys.openers.incomplete };
  if (before !== undefined && before <= from) return { blank: words.keys.openers.backwards };
  return { ...base, from, ...(before === undefined ? {} : { before }) };
}

const machineOf = (parameters: URLSearchParams) => /^[0-9a-f-]{36}$/.exec(parameters.get('machine') ?? '')?.[0];
const partOf = (parameters: URLSearchParams): OpenersAsked['opens'] => (parameters.get('opens') === 'play-area' ? 'play-area' : 'cash-box');
const timeOf = (parameters: URLSearchParams): Time => times.find((each) => each === parameters.get('when')) ?? 'now';

interface AskingProps {
  readonly parameters: URLSearchParams;
  readonly onChange: (name: string, value: string | undefined) => void;
}

function Asking({ parameters, onChange }: AskingProps) {
  const id = useId();
  const text = words.keys.openers;
  const time = timeOf(parameters);
  const moment = (name: string, label: string) => (
    <MomentField key={name} id={`${id}-${name}`} label={label} instant={instantFrom(parameters, name)} onInstant={(instant) => onChange(name, instant)} />
  );
  return (
    <div className={styles.asking}>
      <MachineChoice chosen={machineOf(parameters)} onChoose={(machine) => onChange('machine', machine)} />
      <div className="field">
        <label htmlFor={`${id}-what`}>{text.what}</label>
        <select id={`${id}-what`} value={partOf(parameters)} onChange={(event) => onChange('opens', event.currentTarget.value)}>
          {(['cash-box', 'play-area'] as const).map((part) => (
            <option key={part} value={part}>
              {text.part[part]}
            </option>
          ))}
        </select>
      </div>
      <div className="field">
        <label htmlFor={`${id}-when`}>{text.when}</label>
        <select id={`${id}-when`} value={time} onChange={(event) => onChange('when', event.currentTarget.value)}>
          {times.map((each) => (
            <option key={each} value={each}>
              {text.time[each]}
            </option>
          ))}
        </select>
      </div>
      {time === 'moment' ? moment('at', text.moment) : null}
      {time === 'interval' ? [moment('from', text.from), moment('before', text.before)] : null}
      {time === 'now' ? null : <MomentField id={`${id}-known`} label={words.keys.knownAt} hint={words.keys.knownAtHint} instant={instantFrom(parameters, 'knownAt')} onInstant={(instant) => onChange('knownAt', instant)} />}
    </div>
  );
}

function MachineChoice({ chosen, onChoose }: { readonly chosen: string | undefined; readonly onChoose: (id: string | undefined) => void }) {
  const { api } = useOperator();
  const id = useId();
  const question = useQuery(machinesQuery(api));
  return (
    <Answer question={question} lines={1}>
      {(machines) => (
        <MachineField id={id} label={words.keys.openers.machine} value={chosen ?? ''} choice={{ machines, isLoading: false }} onValue={(machine) => onChoose(machine === '' ? undefined : machine)} />
      )}
    </Answer>
  );
}
