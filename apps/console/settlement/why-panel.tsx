import type { SettlementLine } from '../api/shapes';
import { useLineAim } from './line-aim';
import { words } from '../words/words';
import { reasonOf } from './line-words';
import styles from './settlement.module.css';

/** How one figure came about: in a sentence, then step, rule, value before rounding, and what went in. */
export function WhyPanel({ line }: { readonly line: SettlementLine }) {
  const { why } = line;
  if (why === null) return <p className="soft">{words.settlement.noWhy}</p>;
  const text = words.settlement.whyParts;
  return (
    <div className={styles.why}>
      <p>{reasonOf(why)}</p>
      <dl>
        <dt>{text.step}</dt>
        <dd>{words.settlement.step[why.step]}</dd>
        {why.rule === null ? null : (
          <>
            <dt>{text.rule}</dt>
            <dd>{why.rule}</dd>
          </>
        )}
        {why.exact === null ? null : (
          <>
            <dt>{text.exact}</dt>
            <dd className={styles.exact}>{why.exact}</dd>
          </>
        )}
        {why.inputs.length === 0 ? null : (
          <>
            <dt>{text.inputs}</dt>
            <dd>
              <ul>
                {why.inputs.map((input) => (
                  <li key={`${input.lineNumber ?? ''} ${input.label}`} className={styles.input}>
                    <InputName input={input} />
                    {input.value === null ? null : <span className="figure">{input.value}</span>}
                  </li>
                ))}
              </ul>
            </dd>
          </>
        )}
      </dl>
    </div>
  );
}

/** A line of this settlement leads to where it stands. */
function InputName({ input }: { readonly input: NonNullable<SettlementLine['why']>['inputs'][number] }) {
  const { wayTo } = useLineAim();
  const go = input.lineNumber === null ? null : wayTo(input.lineNumber);
  if (go === null) return <span>{input.label}</span>;
  return (
    <button type="button" className="button-plain" onClick={go}>
      {input.label}
    </button>
  );
}
