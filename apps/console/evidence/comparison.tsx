import { locale } from '../format/locale';
import { saveFile } from '../parts/save-file';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { compareHeld, type Compared, type Held } from './compare';
import { commandFor, proofFile } from './files';
import styles from './evidence.module.css';

const text = words.evidence.check;
const number = new Intl.NumberFormat(locale);

/** What came of holding a copy against the log, with what to do next. */
export function Comparison({ compared }: { readonly compared: Compared }) {
  const { membership } = useOperator();
  const { held } = compared;
  const entries = number.format(held.size);
  if (compared.kind === 'fits') {
    return (
      <div className="notice">
        <p>
          <strong>{text.fits}</strong> {text.fitsWhat({ size: held.size, later: compared.later })}
        </p>
        <div>
          <button
            type="button" className="button button-small"
            onClick={() => {
              const { blob, fileName } = proofFile(membership, compared.proof);
              saveFile(blob, fileName);
            }}
          >
            {text.proof}
          </button>
        </div>
      </div>
    );
  }
  return (
    <div className="notice notice-alarm">
      <p>
        <strong>{text.fitsNot}</strong> {compared.kind === 'cut' ? text.cut({ entries, present: number.format(compared.present) }) : text.differs(entries)}
      </p>
      <p>{text.next}</p>
      <p className={styles.digits}>{commandFor(membership, held)}</p>
    </div>
  );
}

/** Holds one copy of the list against the log. */
export function CompareButton({ held, about }: { readonly held: Held; readonly about: string }) {
  const { api } = useOperator();
  const comparing = useMutation({ mutationFn: () => compareHeld(api, held) });
  return (
    <div className="stack">
      <div>
        <button type="button" className="button button-small" aria-disabled={comparing.isPending} onClick={() => (comparing.isPending ? undefined : comparing.mutate())}>
          {comparing.isPending ? words.working : text.compare}
          <span className="visually-hidden">{` ${about}`}</span>
        </button>
      </div>
      {comparing.isError ? <TroubleNotice error={comparing.error} /> : null}
      <div role="status">{comparing.data === undefined || comparing.isPending ? null : <Comparison compared={comparing.data} />}</div>
    </div>
  );
}
