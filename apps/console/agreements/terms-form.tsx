import { keepPreviousData, useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import type { TermsDocument } from '#contracts/terms';
import type { CheckAgreementData } from '../generated';
import type { FormError } from '../parts/error-summary';
import { Form } from '../parts/form';
import { useSettled } from '../parts/use-settled';
import { useOperator } from '../session/operator';
import { FrameFields } from '../terms/frame-fields';
import { TermsEditor } from '../terms/terms-editor';
import type { useTermsDraft } from '../terms/use-terms-draft';
import { words } from '../words/words';
import styles from './agreements.module.css';

const text = words.agreements;

interface TermsFormProps {
  readonly id: string;
  readonly draft: ReturnType<typeof useTermsDraft>;
  readonly parties: readonly { readonly id: string; readonly name: string }[];
  readonly currency: string;
  readonly errors: readonly FormError[];
  readonly busy: boolean;
  readonly action: string;
  /** The terms as the api is asked about them; null while something is not finished. */
  readonly asked: CheckAgreementData['body'] | null;
  readonly onSubmit: () => void;
  /** What is asked beside the terms. */
  readonly children: ReactNode;
  readonly beside?: ReactNode;
}

/** Terms with their preview: what they would read like, and what would be refused, while they are typed. */
export function TermsForm({ id, draft, parties, currency, errors, busy, action, asked, onSubmit, children, beside }: TermsFormProps) {
  return (
    <div className={styles.sides}>
      <Form errors={errors} busy={busy} action={action} onSubmit={onSubmit} beside={beside}>
        {children}
        <section className="section" aria-labelledby={`${id}-how`}>
          <h2 id={`${id}-how`}>{text.how}</h2>
          <FrameFields around={{ id, parties, currency, errors }} draft={draft.frame} onDraft={draft.setFrame} />
        </section>
        <section className="section" aria-labelledby={`${id}-shares`}>
          <h2 id={`${id}-shares`}>{text.shares}</h2>
          <p className="soft">{text.sharesHint}</p>
          <TermsEditor around={{ id, parties, currency, errors }} draft={draft.draft} changed={draft.changed} agreed={draft.agreed} onDraft={draft.setDraft} onChanged={draft.setChanged} />
        </section>
      </Form>
      <Preview sentences={draft.sentences} asked={asked} />
    </div>
  );
}

interface PreviewProps {
  readonly sentences: readonly string[] | null;
  readonly asked: CheckAgreementData['body'] | null;
}

/** Beside the form on a wide page. What the law of the place or another rule would refuse is said before anybody sends it. */
function Preview({ sentences, asked }: PreviewProps) {
  const { api } = useOperator();
  const settled = useSettled(asked === null ? null : JSON.stringify(asked));
  const check = useQuery({
    queryKey: ['agreements', 'check', settled],
    queryFn: ({ signal }) => api.checkTerms(JSON.parse(settled ?? '') as CheckAgreementData['body'], signal),
    enabled: settled !== null,
    placeholderData: keepPreviousData,
  });
  const problems = settled === null ? [] : (check.data?.problems ?? []);
  return (
    <aside className={styles.preview} aria-label={text.preview}>
      <h2>{text.preview}</h2>
      {sentences === null ? (
        <p className="soft">{text.previewFinish}</p>
      ) : (
        <ul className={styles.sentences}>
          {sentences.map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      )}
      <div role="status">
        {problems.length === 0 ? null : (
          <div className="notice notice-alarm">
            <strong>{text.refusals(problems.length)}</strong>
            <ul>
              {problems.map(({ pointer, message }) => (
                <li key={`${pointer} ${message}`}>{message}</li>
              ))}
            </ul>
          </div>
        )}
      </div>
    </aside>
  );
}

/** The terms in the shape that a request has: lists that may be changed. */
export const asBody = (terms: TermsDocument): CheckAgreementData['body']['terms'] => structuredClone(terms);
