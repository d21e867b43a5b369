import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import framed from '../parts/framed.module.css';
import { words } from '../words/words';
import { checkOfScale, type ScaleDraft } from './scale-draft';
import styles from './phone.module.css';

const text = words.phone.scale;

interface ScaleFieldsProps {
  readonly scale: ScaleDraft | null;
  readonly errors: readonly FormError[];
  readonly onScale: (scale: ScaleDraft) => void;
}

/** The check of the scale: a known weight is laid on it before anything is counted by weight. */
export function ScaleFields({ scale, errors, onScale }: ScaleFieldsProps) {
  const typed = scale ?? { id: '', scale: '', reference: '', shown: '', checkedAt: '' };
  // Other figures are another check, of this moment.
  const change = (fields: Partial<ScaleDraft>) => onScale({ ...typed, ...fields, id: crypto.randomUUID(), checkedAt: new Date().toISOString() });
  const checked = checkOfScale(typed, locale);
  return (
    <fieldset className={framed.box}>
      <legend>{text.title}</legend>
      <p className="field-hint">{text.lead}</p>
      <Field id="scale-name" label={text.name} autoComplete="off" error={errorAt(errors, 'scale-name')} value={typed.scale} onValue={(name) => change({ scale: name })} />
      <div className={styles.pair}>
        <Field id="scale-reference" label={text.reference} inputMode="decimal" autoComplete="off" error={errorAt(errors, 'scale-reference')} value={typed.reference} onValue={(reference) => change({ reference })} />
        <Field id="scale-shown" label={text.shown} inputMode="decimal" autoComplete="off" error={errorAt(errors, 'scale-shown')} value={typed.shown} onValue={(shown) => change({ shown })} />
      </div>
      <p role="status" className={styles.said}>{'check' in checked ? text.right(formatInstant(checked.check.happenedAt, locale)) : checked.errors.some(({ reason }) => reason === 'scale-wrong') ? text.wrong : ''}</p>
    </fieldset>
  );
}
