import type { AgreementRow, Close } from '../api/shapes';

type Progress = Pick<Close['progress'], 'settled' | 'reviewed' | 'numbered' | 'issued'>;

/** Whether a list and the progress of its close tell the same. The two are read one after the other, and work goes on meanwhile. */
export function agree(rows: readonly AgreementRow[], progress: Progress): boolean {
  const count = (...states: AgreementRow['state'][]) => rows.filter((row) => states.includes(row.state)).length;
  return (
    count('draft', 'reviewed', 'numbered', 'issued') === progress.settled &&
    count('reviewed', 'numbered', 'issued') === progress.reviewed &&
    count('numbered', 'issued') === progress.numbered &&
    count('issued') === progress.issued
  );
}
