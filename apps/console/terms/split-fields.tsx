import { nameIn } from '../parts/name-in';
import { words } from '../words/words';
import type { ShareDraft, SplitDraft } from './draft';
import { Choice, Item, replaced, Typed, without, type Around } from './editor-parts';
import styles from './terms.module.css';

const text = words.terms.split;
const { week, month, year, period } = words.terms.per;

interface SplitFieldsProps {
  readonly around: Around;
  readonly split: SplitDraft;
  readonly onSplit: (split: SplitDraft) => void;
}

/** Who has how much of what is left. */
export function SplitFields({ around, split, onSplit }: SplitFieldsProps) {
  const set = (part: Partial<SplitDraft>) => onSplit({ ...split, ...part });
  return (
    <>
      <div className={styles.fields}>
        <Choice around={around} place="split-kind" label={text.kind} value={split.kind} texts={text.kinds} onValue={(kind) => set({ kind })} />
        {split.kind === 'shares' ? (
          <Shares around={around} place="split-shares" shares={split.shares} onShares={(shares) => set({ shares })} />
        ) : (
          <>
            <Choice around={around} place="split-per" label={text.per} value={split.per} texts={{ week, month, year, period }} onValue={(per) => set({ per })} />
            <Choice around={around} place="split-method" label={text.method} value={split.method} texts={text.methods} onValue={(method) => set({ method })} />
            <Choice around={around} place="split-scope" label={text.scope} value={split.scope} texts={text.scopes} onValue={(scope) => set({ scope })} />
          </>
        )}
      </div>
      {split.kind === 'bands' ? <Bands around={around} split={split} onSplit={onSplit} /> : null}
    </>
  );
}

function Bands({ around, split, onSplit }: SplitFieldsProps) {
  const { bands } = split;
  const set = (changed: SplitDraft['bands']) => onSplit({ ...split, bands: changed });
  const last = bands.length - 1;
  return (
    <>
      {bands.map((band, index) => (
        <Item
          key={index} around={around} place={`split-bands-${index}`} legend={text.band(index + 1)}
          remove={bands.length > 2 ? text.remove(index + 1) : null} onRemove={() => set(without(bands, index))}
        >
          {index === last ? (
            <p className="soft">{text.last}</p>
          ) : (
            <Typed around={around} place={`split-bands-${index}-to`} label={text.below(around.currency)} figure value={band.to} onValue={(to) => set(replaced(bands, index, { to }))} />
          )}
          <Shares around={around} place={`split-bands-${index}-shares`} shares={band.shares} onShares={(shares) => set(replaced(bands, index, { shares }))} />
        </Item>
      ))}
      <div>
        <button type="button" className="button button-small" onClick={() => set([...bands, { to: '', shares: bands[last]?.shares ?? split.shares }])}>
          {text.add}
        </button>
      </div>
    </>
  );
}

interface SharesProps {
  readonly around: Around;
  readonly place: string;
  readonly shares: readonly ShareDraft[];
  readonly onShares: (shares: ShareDraft[]) => void;
}

function Shares({ around, place, shares, onShares }: SharesProps) {
  return shares.map(({ party, percent }, index) => (
    <Typed
      key={party} around={around} place={`${place}-${index}-percent`} figure value={percent}
      label={text.percent(nameIn(around.parties)(party))}
      onValue={(typed) => onShares(replaced(shares, index, { percent: typed }))}
    />
  ));
}
