import { useInfiniteQuery, useQuery, type UseInfiniteQueryResult } from '@tanstack/react-query';
import { useId, useState, type ReactNode } from 'react';
import { readableFingerprint } from '#statement/verify/fingerprint';
import type { EvidenceHead } from '../api/shapes';
import { dayOf, formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { saveFile } from '../parts/save-file';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { compareHeld, rootTyped, sizeTyped, type Compared, type Held } from './compare';
import { CompareButton, Comparison } from './comparison';
import { copyFile } from './files';
import { headQuery, mailedHeadsQuery, stampedHeadsQuery } from './queries';
import styles from './evidence.module.css';

const text = words.evidence;

/** `evidence`: whether anything was dropped from the log since a copy of its head went outside, and how anybody checks that. */
export function EvidencePage() {
  const { api, may } = useOperator();
  const allowed = may('evidence.read');
  const question = useQuery({ ...headQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={words.frame.toEvidence} />;
  return (
    <Page title={words.frame.toEvidence} lead={text.lead}>
      <Answer question={question} lines={8}>
        {(head) =>
          head.size === 0 ? (
            <Blank title={text.empty}>
              <p>{text.emptyWhat}</p>
            </Blank>
          ) : (
            <>
              <Present head={head} />
              <Check />
              <Outside />
            </>
          )
        }
      </Answer>
      <Steps id="outside" title={text.outside.title} says={text.outside.steps} after={<a href="/verifier.html">{words.signature.check}</a>} />
      <Says id="limits" title={text.limits.title} says={text.limits.says} />
    </Page>
  );
}

function Present({ head }: { readonly head: EvidenceHead }) {
  const { membership } = useOperator();
  const save = () => {
    const { blob, fileName } = copyFile(membership, head, dayOf(new Date()));
    saveFile(blob, fileName);
  };
  return (
    <section className="section" aria-labelledby="now">
      <h2 id="now">{text.now}</h2>
      <p className="lead">{text.holds({ size: head.size, last: head.recordedAt === null ? null : formatInstant(head.recordedAt, locale) })}</p>
      <div>
        <h3>{text.head}</h3>
        <p className={styles.digits}>{readableFingerprint(head.root)}</p>
        <p className="soft small">{text.headWhat}</p>
      </div>
      <div>
        <button type="button" className="button" onClick={save}>
          {text.save}
        </button>
      </div>
    </section>
  );
}

/** Both figures of a copy as they stand on paper; the log is held against them here, in the browser. */
function Check() {
  const { api } = useOperator();
  const id = useId();
  const [typed, setTyped] = useState({ size: '', root: '' });
  const [compared, setCompared] = useState<Compared | null>(null);
  const fields = { size: `${id}-size`, root: `${id}-root` };
  const { errors, busy, submit } = useSending({ send: (held: Held) => compareHeld(api, held), fields, changes: [], onDone: setCompared });
  const [size, root] = [sizeTyped(typed.size), rootTyped(typed.root)];
  const send = () => {
    setCompared(null);
    submit({ size: size ?? 0, root: root ?? '' }, [unless(size !== undefined, fields.size, text.check.sizeMissing), unless(root !== undefined, fields.root, text.check.rootMissing)]);
  };
  const change = (part: Partial<typeof typed>) => {
    // What was found belongs to what was typed before.
    setCompared(null);
    setTyped((before) => ({ ...before, ...part }));
  };
  // Asked before the figures were changed, it may come after.
  const isOfThese = compared !== null && compared.held.size === size && compared.held.root === root;
  return (
    <section className="section" aria-labelledby="check">
      <h2 id="check">{text.check.title}</h2>
      <p>{text.check.lead}</p>
      <Form errors={errors} busy={busy} action={text.check.action} onSubmit={send}>
        <Field id={fields.size} label={text.check.size} inputMode="numeric" autoComplete="off" error={errorAt(errors, fields.size)} value={typed.size} onValue={(value) => change({ size: value })} />
        <Field id={fields.root} label={text.head} hint={text.check.rootHint} autoComplete="off" spellCheck={false} error={errorAt(errors, fields.root)} value={typed.root} onValue={(value) => change({ root: value })} />
      </Form>
      <div role="status">{isOfThese ? <Comparison compared={compared} /> : null}</div>
    </section>
  );
}

/** Which copies went outside, by mail and by a time-stamp authority. */
function Outside() {
  const { api } = useOperator();
  const mailed = useInfiniteQuery(mailedHeadsQuery(api));
  const stamped = useInfiniteQuery(stampedHeadsQuery(api));
  return (
    <section className="section" aria-labelledby="copies">
      <h2 id="copies">{text.copies.title}</h2>
      <p>{text.copies.lead}</p>
      <h3>{text.copies.mails}</h3>
      <Copies question={mailed} none={text.copies.noMails}>
        {({ mailedOn, addresses, ...held }) => ({ key: mailedOn, when: formatDay(mailedOn, locale), says: text.copies.mailed({ size: held.size, addresses }), held })}
      </Copies>
      <h3>{text.copies.stamps}</h3>
      <Copies question={stamped} none={text.copies.noStamps}>
        {({ stampedAt, authority, ...held }) => ({ key: stampedAt, when: formatInstant(stampedAt, locale), says: text.copies.stamped({ size: held.size, authority }), held })}
      </Copies>
    </section>
  );
}

interface CopiesProps<Item> {
  readonly question: UseInfiniteQueryResult<{ readonly pages: readonly { readonly items: readonly Item[] }[] }>;
  readonly none: string;
  readonly children: (item: Item) => { readonly key: string; readonly when: string; readonly says: string; readonly held: Held };
}

function Copies<Item>({ question, none, children }: CopiesProps<Item>) {
  return (
    <>
      <Answer question={{ ...question, data: question.data?.pages.flatMap(({ items }) => items) }} lines={3}>
        {(items) =>
          items.length === 0 ? (
            <p className="soft">{none}</p>
          ) : (
            <ul className={styles.copies}>
              {items.map(children).map(({ key, when, says, held }) => (
                <li key={key}>
                  <div>
                    <strong>{when}</strong> <span className="soft">{says}</span>
                  </div>
                  <CompareButton held={{ size: held.size, root: held.root }} about={when} />
                </li>
              ))}
            </ul>
          )
        }
      </Answer>
      <More question={question} />
    </>
  );
}

interface SaysProps {
  readonly id: string;
  readonly title: string;
  readonly says: readonly string[];
}

function Steps({ id, title, says, after }: SaysProps & { readonly after: ReactNode }) {
  return (
    <section className="section" aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      <ol className="numbered">
        {says.map((each) => (
          <li key={each}>{each}</li>
        ))}
      </ol>
      <p>{after}</p>
    </section>
  );
}

function Says({ id, title, says }: SaysProps) {
  return (
    <section className="section" aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      <ul className={styles.said}>
        {says.map((each) => (
          <li key={each}>{each}</li>
        ))}
      </ul>
    </section>
  );
}
