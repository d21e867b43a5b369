import { errorAt } from '../parts/form';
import { Field } from '../parts/field';
import { SelectField } from '../parts/select-field';
import { locale } from '../format/locale';
import { words } from '../words/words';
import { Choice, Typed, type Around } from './editor-parts';
import type { FrameDraft } from './frame-draft';
import styles from './terms.module.css';

const text = words.agreements.frame;

/** Monday 1 to Sunday 7, as the reader calls them. */
const weekdays = [1, 2, 3, 4, 5, 6, 7].map((day) => ({ value: String(day), text: new Intl.DateTimeFormat(locale, { weekday: 'long', timeZone: 'UTC' }).format(new Date(Date.UTC(2024, 0, day))) }));

interface FrameFieldsProps {
  readonly around: Around;
  readonly draft: FrameDraft;
  readonly onDraft: (part: Partial<FrameDraft>) => void;
}

/** How the agreement is made, for which periods it is settled, and what becomes of what is due. */
export function FrameFields({ around, draft, onDraft }: FrameFieldsProps) {
  const { id, errors, currency } = around;
  const anchorId = `${id}-cycle-anchor`;
  return (
    <div className={styles.fields}>
      <Choice around={around} place="arrangement" label={text.arrangement} value={draft.arrangement} texts={text.arrangements} onValue={(arrangement) => onDraft({ arrangement })} />
      <Choice around={around} place="cycle" label={text.cycle} value={draft.cycle} texts={text.cycles} onValue={(cycle) => onDraft({ cycle })} />
      {draft.cycle === 'four-weeks' ? <Field id={anchorId} type="date" label={text.anchor} error={errorAt(errors, anchorId)} value={draft.anchor} onValue={(anchor) => onDraft({ anchor })} /> : null}
      {draft.cycle === 'week' ? <SelectField id={`${id}-cycle-startsOnWeekday`} label={text.weekday} value={draft.weekday} options={weekdays} onValue={(weekday) => onDraft({ weekday })} /> : null}
      {draft.cycle === 'visit' ? null : <Choice around={around} place="cashless" label={text.cashless} value={draft.cashless} texts={text.cashlesses} onValue={(cashless) => onDraft({ cashless })} />}
      <Choice around={around} place="advances" label={text.advances} value={draft.advances} texts={text.advanceKinds} onValue={(advances) => onDraft({ advances })} />
      {draft.advances === 'fixed' ? <Typed around={around} place="advances-amount" label={text.advanceAmount(currency)} figure value={draft.advancesFigure} onValue={(advancesFigure) => onDraft({ advancesFigure })} /> : null}
      {draft.advances === 'percentage' ? <Typed around={around} place="advances-percent" label={text.advancePercent} figure value={draft.advancesFigure} onValue={(advancesFigure) => onDraft({ advancesFigure })} /> : null}
      <Choice around={around} place="payout-negative" label={text.negative} value={draft.negative} texts={text.negatives} onValue={(negative) => onDraft({ negative })} />
      <Typed around={around} place="payout-smallest" label={text.smallest(currency)} figure value={draft.smallest} onValue={(smallest) => onDraft({ smallest })} />
      <Typed around={around} place="payout-smallestCoin" label={text.smallestCoin(currency)} figure value={draft.smallestCoin} onValue={(smallestCoin) => onDraft({ smallestCoin })} />
    </div>
  );
}
