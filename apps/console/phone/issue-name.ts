import type { CoinSet } from '../api/shapes';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { asTyped } from '../format/typed-percent';
import { words } from '../words/words';

const text = words.phone.visit;

type Issue = CoinSet['issues'][number];

/**
 * What people call a coin or note. The api names it in English; other languages say what it is worth, and of coins of one worth
 * (an old and a new design) also what a piece weighs.
 */
export function issueName(issue: Issue, { issues }: CoinSet): string {
  const face = formatMoney(issue.face, locale);
  if (issue.tender === 'note') return text.noteOf(face);
  if (words.language === 'en') return issue.name;
  const alike = issues.filter(({ tender, face: other }) => tender === 'coin' && other.amount === issue.face.amount);
  return alike.length === 1 || issue.pieceGrams === null ? text.coinOf(face) : text.coinWeighing(face, asTyped({ text: issue.pieceGrams, locale }));
}

/** The same over a field of pieces, with the worth where the name does not say it. */
export function pieceLabel(issue: Issue, coinSet: CoinSet): string {
  return issue.tender === 'coin' && words.language === 'en' ? text.piece(issue.name, formatMoney(issue.face, locale)) : issueName(issue, coinSet);
}
