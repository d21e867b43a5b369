import type { ReactNode } from 'react';
import { Link } from 'react-router';
import type { Close } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { InEnglish } from '../parts/trouble';
import { UntoldBoxes } from './later';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { TryAgainButton } from './commands';
import { sayFailure } from './failure';
import { failureReader } from './failure-reader';
import { phaseOf } from './phase';
import { WaysOn } from './ways-on';
import styles from './month-end.module.css';

interface ProgressProps {
  readonly close: Close;
  /** Agreements that can be settled. */
  readonly due: number;
}

/** How far the work in the background is, for eyes continuously and for ears at the quarters; and what it could not do. */
export function Progress({ close, due }: ProgressProps) {
  const { progress, failures } = close;
  if (progress.keyMissed !== null) return <KeyMissed closeId={close.id} missed={progress.keyMissed} />;
  if (progress.stampMissed !== null) return <StampMissed closeId={close.id} missed={progress.stampMissed} />;
  if (!progress.running) return failures.length === 0 ? <Said text="" /> : <Failures failures={failures} />;
  const phase = phaseOf(progress, due);
  if (phase === null) {
    return (
      <div className={styles.progress}>
        <Said text={words.monthEnd.busy} />
        <p aria-hidden="true">{words.monthEnd.busy}</p>
        <progress aria-label={words.monthEnd.busy} />
        <p className="soft small">{words.monthEnd.mayLeave}</p>
      </div>
    );
  }
  const { at, done, total } = phase;
  const tell = words.monthEnd[at];
  const text = tell(done, total);
  return (
    <div className={styles.progress}>
      <Said text={tell(lastQuarter(done, total), total)} />
      <p aria-hidden="true">{text}</p>
      <progress value={done} max={Math.max(total, 1)} aria-label={text} />
      <p className="soft small">{words.monthEnd.mayLeave}</p>
    </div>
  );
}

/** Work that stands still until somebody sees to the key: what it waits for, and what to do. */
function KeyMissed({ closeId, missed }: { readonly closeId: string; readonly missed: NonNullable<Close['progress']['keyMissed']> }) {
  const { may, to } = useOperator();
  const text = words.monthEnd.keyMissed;
  return (
    <Waits title={text.title} said={missed.said} closeId={closeId}>
      <p>
        {text.since(formatInstant(missed.since, locale))} {text.numbered}
      </p>
      <p>
        {text.why[missed.why]} {may('signing-key.read') ? <Link to={to('signature')}>{text.toCertificates}</Link> : null}
      </p>
    </Waits>
  );
}

/** The same for the stamps of an authority, which is asked for a limited time. */
function StampMissed({ closeId, missed }: { readonly closeId: string; readonly missed: NonNullable<Close['progress']['stampMissed']> }) {
  const { may, to } = useOperator();
  const text = words.monthEnd.stampMissed;
  return (
    <Waits title={text.title} said={missed.said} closeId={closeId}>
      <p>
        {text.since(formatInstant(missed.since, locale), formatInstant(missed.until, locale))} {text.what}
      </p>
      <p>
        {text.instead} {may('operator.change') ? <Link to={to('set-up/office')}>{words.setUp.operator.title}</Link> : null}
      </p>
    </Waits>
  );
}

function Waits({ title, said, closeId, children }: { readonly title: string; readonly said: string; readonly closeId: string; readonly children: ReactNode }) {
  return (
    <div className="notice notice-alarm stack" role="status">
      <strong>{title}</strong>
      {children}
      <p className="small">
        {words.monthEnd.keyMissed.said}: <span lang="en">{said}</span>
      </p>
      <div>
        <TryAgainButton closeId={closeId} />
      </div>
    </div>
  );
}

function Said({ text }: { readonly text: string }) {
  return (
    <div role="status" className="visually-hidden">
      {text}
    </div>
  );
}

function Failures({ failures }: { readonly failures: Close['failures'] }) {
  return (
    <div className="notice notice-alarm">
      <strong>{words.monthEnd.failures(failures.length)}</strong>
      <ul>
        {failures.map((failure) => {
          const { agreementId, step, siteCode, untoldBoxes } = failure;
          if (untoldBoxes.length > 0) {
            return (
              <li key={`${agreementId} ${step}`}>
                <span className="code">{siteCode}</span> <UntoldBoxes boxes={untoldBoxes} />
              </li>
            );
          }
          const { own, inEnglish } = sayFailure(failure, failureReader);
          return (
            <li key={`${agreementId} ${step}`}>
              <span className="code">{siteCode}</span> {own}
              <WaysOn failure={failure} about={siteCode} />
              <InEnglish sentences={inEnglish} />
            </li>
          );
        })}
      </ul>
    </div>
  );
}

/** The last full quarter of the way, so that a screen reader is not interrupted every second. */
function lastQuarter(done: number, total: number): number {
  return Math.floor((Math.floor((done * 4) / Math.max(total, 1)) * total) / 4);
}
