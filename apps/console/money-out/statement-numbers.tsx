import { words } from '../words/words';

/** So many are read at a glance. */
const mostShown = 3;

/** The statements that one transfer pays; many are folded, or the amounts would be lost among their numbers. */
export function StatementNumbers({ settlements }: { readonly settlements: readonly { readonly number: string }[] }) {
  const numbers = settlements.map(({ number }) => number).join(', ');
  if (settlements.length <= mostShown) return numbers;
  return (
    <details>
      <summary>{words.moneyOut.due.statementCount(settlements.length)}</summary>
      {numbers}
    </details>
  );
}
