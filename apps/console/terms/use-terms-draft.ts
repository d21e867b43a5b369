import { useState } from 'react';
import type { TermsDocument } from '#contracts/terms';
import { locale } from '../format/locale';
import { nameIn } from '../parts/name-in';
import { words } from '../words/words';
import { draftOf, members, splitForParties, withChanges, type Member, type TermsDraft } from './draft';
import { frameDraftOf, readFrame, type FrameDraft } from './frame-draft';
import { termsInWords } from './in-words';
import { readDraft, type Unfinished } from './read-draft';

interface Begin {
  /** What holds wherever nothing else is typed; the site's party by its role. */
  readonly base: TermsDocument;
  readonly parties: readonly { readonly id: string; readonly name: string }[];
  /** Members that are open from the beginning. */
  readonly changed: readonly Member[];
}

/** Every part of terms in the order in which the money runs, as an agreement would read. */
const inOrder = ['arrangement', 'cycle', 'basis', 'grouping', 'tokens', 'cashless', 'breakIns', 'tax', 'charges', 'split', 'loss', 'guarantees', 'advances', 'payout'] as const;

/** Whole terms as somebody types them, with what they say as soon as they can be read. */
export function useTermsDraft({ base, parties, changed: open }: Begin) {
  const [typed, setTyped] = useState<Partial<TermsDraft>>({});
  const [changed, setChanged] = useState<readonly Member[]>(open);
  const [frame, setFrame] = useState<FrameDraft>(() => frameDraftOf(base, locale));
  const { currency } = base;
  const terms = { ...base, parties: parties.map(({ id }) => ({ id, role: roleOf(base, id) })) };
  const kept = Object.fromEntries(changed.flatMap((member) => (typed[member] === undefined ? [] : [[member, typed[member]]]))) as Partial<TermsDraft>;
  const whole = { ...draftOf(terms, locale), ...kept };
  const draft = { ...whole, split: splitForParties(whole.split, parties.map(({ id }) => id)) };
  const read = readDraft({ draft, changed, locale, currency });
  const readOfFrame = readFrame({ draft: frame, currency, locale });
  const unfinished: readonly Unfinished[] = [...readOfFrame.unfinished, ...read.unfinished];
  const finished = read.changes === null || readOfFrame.frame === null ? null : withChanges({ ...terms, ...readOfFrame.frame }, read.changes);
  const partyName = nameIn(parties);
  return {
    draft, changed, frame, unfinished,
    /** Null while something is not finished. */
    terms: finished,
    sentences: finished === null ? null : termsInWords({ terms: finished, members: inOrder, partyName, locale, catalogue: words.termsCatalogue }),
    agreed: (member: Member) => termsInWords({ terms, members: [member], partyName, locale, catalogue: words.termsCatalogue }),
    setFrame: (part: Partial<FrameDraft>) => setFrame((before) => ({ ...before, ...part })),
    setDraft: setTyped,
    setChanged: (now: readonly Member[]) => {
      // What somebody begins to change begins with what was agreed.
      setTyped({ ...draft });
      setChanged(members.filter((member) => now.includes(member)));
    },
  };
}

function roleOf({ parties }: TermsDocument, id: string): TermsDocument['parties'][number]['role'] {
  return parties.find((party) => party.id === id)?.role ?? 'other';
}
