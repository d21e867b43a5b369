import type { Policy } from '../api/shapes';
import { useActorName } from '../session/actor-name';
import { words } from '../words/words';
import { Moment, Wide } from './parts';
import { linesOf } from './policy-lines';

const text = words.keyPolicy;

/** Everything that was decided, the latest first, with what is to take effect later. */
export function Decided({ decided }: { readonly decided: readonly Policy[] }) {
  const nameOf = useActorName();
  return (
    <section className="section" aria-labelledby="decided">
      <h2 id="decided">{text.history}</h2>
      <Wide title={text.history}>
        <table>
          <caption className="visually-hidden">{text.history}</caption>
          <thead>
            <tr>
              {[text.from, text.relaxed, words.reason, text.by].map((column) => (
                <th key={column} scope="col">
                  {column}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {decided.map((policy) => (
              <tr key={`${policy.effectiveFrom ?? ''} ${policy.recordedAt ?? ''}`}>
                <th scope="row">{policy.effectiveFrom === null ? null : <Moment instant={policy.effectiveFrom} />}</th>
                <td>
                  <Relaxed policy={policy} />
                </td>
                <td>{policy.reason}</td>
                <td>{nameOf(policy.recordedBy ?? '')}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}

function Relaxed({ policy }: { readonly policy: Policy }) {
  const relaxed = linesOf(policy).filter(({ isRelaxed }) => isRelaxed);
  if (relaxed.length === 0) return <span className="soft">{text.noRelaxed}</span>;
  return (
    <ul>
      {relaxed.map(({ rule, says }) => (
        <li key={rule}>{text.line({ rule: text.rules[rule], says })}</li>
      ))}
    </ul>
  );
}
