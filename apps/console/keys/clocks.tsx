import { useId } from 'react';
import type { Clocks } from '../api/keys-api';
import { useAddressParameters } from '../parts/address-parameters';
import { words } from '../words/words';
import { instantFrom } from './moment';
import { MomentField } from './parts';
import styles from './keys.module.css';

/** The two clocks of a question as the address has them: when it was so, and when the books knew it. */
export function useClocks(): readonly [Clocks, (name: keyof Clocks, instant: string | undefined) => void] {
  const [parameters, change] = useAddressParameters();
  const [at, knownAt] = [instantFrom(parameters, 'at'), instantFrom(parameters, 'knownAt')];
  return [{ ...(at === undefined ? {} : { at }), ...(knownAt === undefined ? {} : { knownAt }) }, (name, instant) => change({ [name]: instant })];
}

interface ClockFieldsProps {
  readonly clocks: Clocks;
  readonly onChange: (name: keyof Clocks, instant: string | undefined) => void;
}

export function ClockFields({ clocks, onChange }: ClockFieldsProps) {
  const id = useId();
  return (
    <div className={styles.asking}>
      <MomentField id={`${id}-at`} label={words.keys.at} hint={words.keys.atHint} instant={clocks.at} onInstant={(instant) => onChange('at', instant)} />
      <MomentField id={`${id}-known`} label={words.keys.knownAt} hint={words.keys.knownAtHint} instant={clocks.knownAt} onInstant={(instant) => onChange('knownAt', instant)} />
    </div>
  );
}
