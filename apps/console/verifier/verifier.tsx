import { useId, useState, type DragEvent } from 'react';
import { comparisonsOf } from '#statement/verify/compare-heads';
import { isPdf, LARGEST_STATEMENT_BYTES, verifyStatement, type Verdict } from '#statement/verify/verify-statement';
import { headsSentence, verifierWordsOf } from '#statement/verify/words';
import { CheckedFile } from './checked-file';
import { KeptFingerprints } from './kept-list';
import { keepFingerprints, keptFingerprints } from './kept-fingerprints';

export type Checked = { readonly key: number; readonly name: string } & ({ readonly verdict: Verdict } | { readonly problem: string });

let nextKey = 0;

/** Of the page around the files: as their receiver's browser is set. What is said about a file is in the language of the statement. */
const around = verifierWordsOf(...navigator.languages);
const words = around.page;

/** Checks files one after the other, so that a phone stays usable. */
export function Verifier() {
  const [checked, setChecked] = useState<readonly Checked[]>([]);
  const [busyWith, setBusyWith] = useState<string | null>(null);
  const [given, setGiven] = useState('');
  const [kept, setKept] = useState(keptFingerprints);
  const keep = (fingerprints: readonly string[]): void => setKept(keepFingerprints(fingerprints));
  const [isOver, setIsOver] = useState(false);
  const inputId = useId();

  const check = async (files: readonly File[]): Promise<void> => {
    for (const file of files) {
      setBusyWith(file.name);
      const result = await checkFile(file);
      setChecked((before) => [result, ...before]);
    }
    setBusyWith(null);
  };
  const dropped = (event: DragEvent): void => {
    event.preventDefault();
    setIsOver(false);
    void check([...event.dataTransfer.files]);
  };

  return (
    <main className="verifier" lang={around.language}>
      <header className="stack">
        <h1>{words.title}</h1>
        <p className="lead">{words.lead}</p>
      </header>
      <div
        className={isOver ? 'drop drop-over' : 'drop'}
        onDragOver={(event) => {
          event.preventDefault();
          setIsOver(true);
        }}
        onDragLeave={() => setIsOver(false)}
        onDrop={dropped}
      >
        <input
          id={inputId}
          className="drop-input"
          type="file"
          accept="application/pdf,.pdf"
          multiple
          onChange={(event) => {
            void check([...(event.target.files ?? [])]);
            event.target.value = '';
          }}
        />
        <label className="button button-main" htmlFor={inputId}>
          {words.choose}
        </label>
        <span className="drop-hint">{words.drop}</span>
      </div>
      <p role="status" className="checking">
        {busyWith === null ? '' : words.checking(busyWith)}
      </p>
      <Comparisons checked={checked} />
      {checked.map((each) =>
        'verdict' in each ? (
          <CheckedFile key={each.key} name={each.name} around={around} verdict={each.verdict} given={given} kept={kept} onGiven={setGiven} onKeep={(fingerprint) => keep([...kept, fingerprint])} />
        ) : (
          <section key={each.key} className="sheet stack" aria-label={each.name}>
            <h2>{each.name}</h2>
            <p>{each.problem}</p>
          </section>
        ),
      )}
      <KeptFingerprints text={words.kept} kept={kept} onForget={(fingerprint) => keep(kept.filter((each) => each !== fingerprint))} />
      <Limits />
    </main>
  );
}

async function checkFile(file: File): Promise<Checked> {
  nextKey += 1;
  const named = { key: nextKey, name: file.name };
  if (file.size > LARGEST_STATEMENT_BYTES) return { ...named, problem: words.tooLarge };
  try {
    const bytes = new Uint8Array(await file.arrayBuffer());
    return isPdf(bytes) ? { ...named, verdict: await verifyStatement(bytes) } : { ...named, problem: words.noPdf };
  } catch {
    return { ...named, problem: words.unreadable };
  }
}

/** Each statement with the next one by the size of the operator's log. */
function Comparisons({ checked }: { checked: readonly Checked[] }) {
  const comparisons = comparisonsOf(checked.flatMap((each) => ('verdict' in each ? [each.verdict] : [])));
  if (comparisons.length === 0) return null;
  return (
    <section className="sheet stack" aria-label={words.together}>
      <h2>{words.together}</h2>
      <ul className="findings">
        {comparisons.map(({ older, newer, compared }) => {
          const holds = compared.kind === 'extends' ? 'true' : compared.kind === 'does-not-extend' || compared.kind === 'same-number' ? 'false' : 'unknown';
          return (
            <li key={`${older.settlementDigest} ${newer.settlementDigest}`} className={`finding finding-${holds}`}>
              <span className="finding-mark">{words.mark[holds]}</span>
              <span>{headsSentence(compared, { older: older.number, newer: newer.number }, around)}</span>
            </li>
          );
        })}
      </ul>
    </section>
  );
}

function Limits() {
  const { title, ...limits } = words.limits;
  return (
    <section className="stack limits" aria-label={title}>
      <h2>{title}</h2>
      <ul className="stack">
        {Object.values(limits).map((limit) => (
          <li key={limit}>{limit}</li>
        ))}
      </ul>
    </section>
  );
}
