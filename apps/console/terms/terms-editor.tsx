import type { ReactNode } from 'react';
import { words } from '../words/words';
import { ChargeFields } from './charge-fields';
import { members, type Member, type TermsDraft } from './draft';
import { Choice, type Around } from './editor-parts';
import { GuaranteeFields } from './guarantee-fields';
import { SplitFields } from './split-fields';
import styles from './terms.module.css';
import { TokenFields } from './token-fields';

interface TermsEditorProps {
  readonly around: Around;
  readonly draft: TermsDraft;
  /** The members that would be others; the rest is shown as it was agreed. */
  readonly changed: readonly Member[];
  /** What was agreed, in sentences; null where each site has its own. */
  readonly agreed: ((member: Member) => readonly string[]) | null;
  readonly onDraft: (draft: TermsDraft) => void;
  readonly onChanged: (changed: readonly Member[]) => void;
}

/** Terms member by member: each says what was agreed, until somebody wants it otherwise. */
export function TermsEditor({ around, draft, changed, agreed, onDraft, onChanged }: TermsEditorProps) {
  return (
    <div className={styles.members}>
      {members.map((member) => (
        <OneMember
          key={member} around={around} member={member} isChanged={changed.includes(member)} agreed={agreed?.(member) ?? null}
          onSwitch={(isOn) => onChanged(members.filter((each) => (each === member ? isOn : changed.includes(each))))}
        >
          <MemberFields around={around} member={member} draft={draft} onPart={(part) => onDraft({ ...draft, ...part })} />
        </OneMember>
      ))}
    </div>
  );
}

interface OneMemberProps {
  readonly around: Around;
  readonly member: Member;
  readonly isChanged: boolean;
  readonly agreed: readonly string[] | null;
  readonly onSwitch: (isOn: boolean) => void;
  readonly children: ReactNode;
}

function OneMember({ around, member, isChanged, agreed, onSwitch, children }: OneMemberProps) {
  const text = words.terms;
  return (
    <fieldset className={styles.member} id={`${around.id}-${member}`} tabIndex={-1}>
      <legend className="visually-hidden">{text.member[member]}</legend>
      <div className={styles.agreed}>
        <label className={styles.switch}>
          <input type="checkbox" checked={isChanged} onChange={(event) => onSwitch(event.currentTarget.checked)} />
          {text.member[member]}
        </label>
        {/* Where it would be another at each site, nothing stays as each agreed. */}
        {isChanged && agreed === null ? null : <p className="soft small">{agreed === null ? text.asEachAgreed : agreed.length === 0 ? text.unsaid[member] : agreed.join(' ')}</p>}
      </div>
      {isChanged ? children : null}
    </fieldset>
  );
}

interface MemberFieldsProps {
  readonly around: Around;
  readonly member: Member;
  readonly draft: TermsDraft;
  readonly onPart: (part: Partial<TermsDraft>) => void;
}

function MemberFields({ around, member, draft, onPart }: MemberFieldsProps) {
  const text = words.terms;
  switch (member) {
    case 'tokens':
      return <TokenFields around={around} tokens={draft.tokens} onTokens={(tokens) => onPart({ tokens })} />;
    case 'charges':
      return <ChargeFields around={around} charges={draft.charges} onCharges={(charges) => onPart({ charges })} />;
    case 'split':
      return <SplitFields around={around} split={draft.split} onSplit={(split) => onPart({ split })} />;
    case 'guarantees':
      return <GuaranteeFields around={around} guarantees={draft.guarantees} onGuarantees={(guarantees) => onPart({ guarantees })} />;
    case 'tax':
      return <TaxFields around={around} tax={draft.tax} onTax={(tax) => onPart({ tax })} />;
    case 'basis':
      return <Lone><Choice around={around} place="basis-value" label={text.instead} value={draft.basis} texts={text.basis} onValue={(basis) => onPart({ basis })} /></Lone>;
    case 'grouping':
      return <Lone><Choice around={around} place="grouping-value" label={text.instead} value={draft.grouping} texts={text.grouping} onValue={(grouping) => onPart({ grouping })} /></Lone>;
    case 'breakIns':
      return <Lone><Choice around={around} place="breakIns-borneBy" label={text.instead} value={draft.breakIns} texts={text.breakIns} onValue={(breakIns) => onPart({ breakIns })} /></Lone>;
    case 'loss':
      return <Lone><Choice around={around} place="loss-value" label={text.instead} value={draft.loss} texts={text.loss} onValue={(loss) => onPart({ loss })} /></Lone>;
  }
}

const Lone = ({ children }: { readonly children: ReactNode }) => <div className={styles.fields}>{children}</div>;

function TaxFields({ around, tax, onTax }: { readonly around: Around; readonly tax: TermsDraft['tax']; readonly onTax: (tax: TermsDraft['tax']) => void }) {
  const { label: borneLabel, ...borne } = words.terms.borne;
  const { label: filedLabel, ...filed } = words.terms.filed;
  return (
    <div className={styles.fields}>
      <Choice around={around} place="tax-borneBy" label={borneLabel} value={tax.borneBy} texts={borne} onValue={(borneBy) => onTax({ ...tax, borneBy })} />
      <Choice around={around} place="tax-filedBy" label={filedLabel} value={tax.filedBy} texts={filed} onValue={(filedBy) => onTax({ ...tax, filedBy })} />
    </div>
  );
}
