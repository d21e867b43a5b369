import type { Close } from '../api/shapes';
import { words } from '../words/words';
import styles from './month-end.module.css';

/** How far the work in the background is, for eyes continuously and for ears at the quarters. */
export function Progress({ close }: { readonly close: Close }) {
  const { progress, failures } = close;
  const { agreements, settled, failed, numbered, issued, running } = progress;
  const isSettling = settled + failed < agreements;
  const done = isSettling ? settled + failed : issued;
  const total = isSettling ? agreements : issued + numbered;
  const text = isSettling ? words.monthEnd.settling(done, total) : words.monthEnd.preparing(done, total);
  return (
    <>
      <div role="status" className="visually-hidden">
        {running ? text.replace(String(done), String(quarterOf(done, total))) : ''}
      </div>
      {running ? (
        <div className={styles.progress}>
          <p>{text}</p>
          <progress value={done} max={Math.max(total, 1)} aria-label={text} />
          <p className="soft small">{words.monthEnd.mayLeave}</p>
        </div>
      ) : null}
      {failures.length === 0 || running ? null : (
        <div className="notice notice-alarm">
          <strong>{words.monthEnd.failures(failures.length)}</strong>
          <ul>
            {failures.map(({ agreementId, siteCode, message }) => (
              <li key={agreementId}>
                <span className="code">{siteCode}</span> {message}
              </li>
            ))}
          </ul>
        </div>
      )}
    </>
  );
}

/** The last full quarter of the way, so that a screen reader is not interrupted every second. */
function quarterOf(done: number, total: number): number {
  return Math.floor((Math.floor((done * 4) / Math.max(total, 1)) * total) / 4);
}
