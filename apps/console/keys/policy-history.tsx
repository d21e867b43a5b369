import type { Policy } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { useActorName } from '../session/actor-name';
import { words } from '../words/words';
import { linesOf } from './policy-lines';
import styles from './keys.module.css';

const text = words.keyPolicy;

/** Everything that was decided, the latest first, with what is to take effect later. */
export function Decided({ decided }: { readonly decided: readonly Policy[] }) {
  const nameOf = useActorName();
  return (
    <section className="section" aria-labelledby="decided">
      <h2 id="decided">{text.history}</h2>
      <ol>
        {decided.map((policy) => (
          <li key={`${policy.effectiveFrom ?? ''} ${policy.recordedAt ?? ''}`} className={styles.held}>
            <strong>{text.from({ moment: policy.effectiveFrom === null ? '' : formatInstant(policy.effectiveFrom, locale), by: nameOf(policy.recordedBy ?? '') })}</strong>
            <p className="soft">{policy.reason}</p>
            <Relaxed policy={policy} />
          </li>
        ))}
      </ol>
    </section>
  );
}

function Relaxed({ policy }: { readonly policy: Policy }) {
  const relaxed = linesOf(policy).filter(({ isRelaxed }) => isRelaxed);
  if (relaxed.length === 0) return <p>{text.noRelaxed}</p>;
  return (
    <ul>
      {relaxed.map(({ rule, says }) => (
        <li key={rule}>{text.line({ rule: text.rules[rule], says })}</li>
      ))}
    </ul>
  );
}
