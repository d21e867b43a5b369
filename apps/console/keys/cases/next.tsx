import type { KeyCase } from '../../api/shapes';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { neededFor, nextSteps, type NextStep } from './next-steps';

const text = words.keyCases.doNext;

/** What is still to be done, first of all on the page: each leads to where it is done, for those who may do it. */
export function Next({ lost }: { readonly lost: KeyCase }) {
  const { may } = useOperator();
  const steps = nextSteps(lost);
  if (steps.length === 0) return null;
  return (
    <section className="section" aria-labelledby="next">
      <h2 id="next">{text.title}</h2>
      <ol className="numbered">
        {steps.map((step) => {
          const needed = neededFor[step.kind];
          return (
            <li key={step.kind}>
              {needed === undefined || may(needed) ? (
                <button type="button" className="button-plain" onClick={() => show(step.about)}>
                  {said(step)}
                </button>
              ) : (
                said(step)
              )}
            </li>
          );
        })}
      </ol>
    </section>
  );
}

function said(step: NextStep): string {
  switch (step.kind) {
    case 'name-code':
      return text.nameCode;
    case 'change-locks':
      return text.changeLocks(step);
    case 'give-keys':
      return text.giveKeys(step.holders);
    case 'call-in':
      return text.callIn(step.copies);
    case 'close':
      return text.close;
  }
}

/** Opens that part of the page and takes the reader there, the focus with them. */
function show(id: string): void {
  const heading = document.getElementById(id);
  if (heading === null) return;
  const folded = heading.closest('details');
  if (folded !== null) folded.open = true;
  const aim = heading.closest('summary') ?? heading;
  aim.focus();
  aim.scrollIntoView({ block: 'start' });
}
