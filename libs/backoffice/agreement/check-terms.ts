import type { WrongField } from '#contracts/outcome';
import { documentPointer, toTerms, type TermsDocument } from '#contracts/terms';
import type { CurrencyCode } from '#domain/money/currency';
import type { LawLimit } from '#domain/tax/types';
import { checkTerms } from '#domain/terms/check-terms';
import { unprintable } from '../printable';
import { termsMessage, termsValues } from './terms-messages';

/** The id under which the terms name the operator; everybody else goes by the id of their party. */
export const OPERATOR = 'operator';

export type TermsPlace = {
  readonly currency: CurrencyCode;
  /** The site's owner, and the others that the agreement lists; `null` where nobody is known yet. */
  readonly partyId: string | null;
  readonly otherPartyIds: readonly string[] | null;
  /** What the law of the place allows on the day from which the terms shall hold. */
  readonly limits: readonly LawLimit[];
};

/** Everything that would keep these terms from being signed, with paths below `terms`. */
export function termsProblems(document: TermsDocument, place: TermsPlace): WrongField[] {
  const computed = checkTerms(toTerms(document), { currency: place.currency, limits: place.limits }).map((problem) => ({
    path: pathOf(documentPointer(problem.pointer)),
    code: problem.code,
    message: termsMessage(problem, document.currency),
    values: termsValues(problem, document.currency),
  }));
  return [...computed, ...betweenVisits(document), ...strangers(document, place), ...unprintableTitles(document)].map((wrong) => ({ ...wrong, path: ['terms', ...wrong.path] }));
}

/** Between visits there is no period that card takings of a day could belong to. */
function betweenVisits({ cycle, cashless }: TermsDocument): WrongField[] {
  if (cycle.kind !== 'visit' || cashless === 'by-collection') return [];
  return [{ path: ['cashless'], code: 'visit-needs-by-collection', message: 'With a settlement per visit card takings are booked with the visit: choose by-collection.' }];
}

function strangers({ parties }: TermsDocument, place: TermsPlace): WrongField[] {
  return parties.flatMap(({ id, role }, index): WrongField[] => {
    const wrong = (code: string, message: string): WrongField[] => [{ path: ['parties', index, 'id'], code, message }];
    switch (role) {
      case 'operator':
        return id === OPERATOR ? [] : wrong('not-the-operator', `The operator goes by the id "${OPERATOR}".`);
      case 'site':
        return place.partyId === null || id === place.partyId ? [] : wrong('not-of-agreement', 'The site goes by the id of the party that the agreement is with.');
      case 'other':
        return place.otherPartyIds === null || place.otherPartyIds.includes(id) ? [] : wrong('not-of-agreement', 'The agreement does not list this party.');
    }
  });
}

function unprintableTitles({ charges, tokens }: TermsDocument): WrongField[] {
  return [
    ...charges.flatMap(({ title }, index) => unprintable({ title }).map((wrong) => ({ ...wrong, path: ['charges', index, ...wrong.path] }))),
    ...tokens.flatMap(({ tokenId }, index) => unprintable({ tokenId }).map((wrong) => ({ ...wrong, path: ['tokens', index, ...wrong.path] }))),
  ];
}

/** Steps of an RFC 6901 pointer; places in lists as numbers. */
function pathOf(pointer: string): (string | number)[] {
  return pointer
    .split('/')
    .slice(1)
    .map((step) => (/^\d+$/.test(step) ? Number(step) : step.replaceAll('~1', '/').replaceAll('~0', '~')));
}
