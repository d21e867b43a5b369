import { issuesOf } from '#contracts/coin-sets/all';
import type { SourcedIssue } from '#contracts/coin-sets/writing';
import type { CountEntry } from '#contracts/collection';
import { dayInWords } from '#contracts/day-in-words';
import { moneyOf, toAmount } from '#contracts/money';
import type { WrongField } from '#contracts/outcome';
import type { TallyEntryCommand, TallyLineView } from '#contracts/tally';
import type { LocalDate } from '#domain/calendar/local-date';
import { mayLieInBox } from '#domain/counting/in-use';
import { valueTally, type CashIssue, type TallyEntry, type TallyRefusal } from '#domain/counting/tally';
import type { CurrencyCode } from '#domain/money/currency';
import { otherCurrency } from '../refusal';
import { toGrams, toMilligrams } from '../scale-check/weight';

/** A denomination as it is stored with its count: what was entered and what it was worth. */
export type StoredTallyLine = {
  readonly issueIds: readonly string[];
  readonly pieces: number | null;
  readonly milligrams: string | null;
  readonly valueMinor: string;
  readonly possibleMinor: readonly [least: string, most: string] | null;
};

/** The cash of a count. `tally` is null when it was entered as amounts. */
export type CountedCash = { readonly coinMinor: bigint; readonly noteMinor: bigint; readonly tally: readonly StoredTallyLine[] | null };

type Place = { readonly siteCode: string; readonly currency: CurrencyCode; readonly localDate: LocalDate; readonly scaleChecked: boolean; readonly slackPercent: number };

/** What an entry is worth, or what is wrong with it; `path` leads to the entry. */
export function countedCash(entry: Pick<CountEntry, 'coin' | 'note' | 'tally'>, path: readonly (string | number)[], place: Place): CountedCash | WrongField[] {
  if (entry.tally !== undefined) return talliedCash(entry.tally, [...path, 'tally'], place);
  const wrong = (['coin', 'note'] as const)
    .filter((field) => entry[field] !== undefined && entry[field].currency !== place.currency)
    .map((field) => otherCurrency([...path, field, 'currency'], `Site ${place.siteCode} is kept in`, place.currency));
  if (wrong.length > 0) return wrong;
  return { coinMinor: entry.coin === undefined ? 0n : toAmount(entry.coin).minor, noteMinor: entry.note === undefined ? 0n : toAmount(entry.note).minor, tally: null };
}

function talliedCash(tally: readonly TallyEntryCommand[], path: readonly (string | number)[], { currency, localDate, scaleChecked, slackPercent }: Place): CountedCash | WrongField[] {
  const issues = issuesOf(currency);
  const entries = tally.map(toEntry);
  const valued = valueTally(entries, { issues, slackPercent });
  const unchecked = scaleChecked ? [] : entries.flatMap((entry, index) => ('weightMilligrams' in entry ? [{ path: [...path, index, 'grams'], code: 'scale-not-checked', message: 'Name the check of the scale first: nothing is counted on a scale that nobody checked.' }] : []));
  const wrong = [...tally.flatMap((entry, index) => notInUse(entry, [...path, index], { issues, localDate })), ...unchecked];
  if (!valued.ok) return [...valued.refusals.map((refusal) => inWords(refusal, path, { currency, issues })), ...wrong];
  if (wrong.length > 0) return wrong;
  const { coinMinor, noteMinor, lines } = valued.tally;
  return {
    coinMinor,
    noteMinor,
    tally: lines.map((line, at) => ({
      issueIds: idsOf(tally[line.index]),
      pieces: line.pieces === null ? null : Number(line.pieces),
      milligrams: milligramsOf(entries[at]),
      valueMinor: String(line.valueMinor),
      possibleMinor: line.possibleMinor && [String(line.possibleMinor.least), String(line.possibleMinor.most)],
    })),
  };
}

/** What was not money yet on the day of the visit, or not for so long that no box can hold it. */
function notInUse(entry: TallyEntryCommand, path: readonly (string | number)[], { issues, localDate }: { readonly issues: readonly SourcedIssue[]; readonly localDate: LocalDate }): WrongField[] {
  const field = entry.mixedIssueIds === undefined ? 'issueId' : 'mixedIssueIds';
  const named = idsOf(entry).flatMap((id) => issues.find((issue) => issue.id === id) ?? []);
  return named.filter((issue) => !mayLieInBox(issue, localDate)).map(({ name, from, until }) => {
    const message = from !== null && from > localDate ? `${name}: not in use before ${dayInWords(from)}. Check the day of the visit.` : `${name}: no money any more since ${dayInWords(until ?? localDate)}. Enter what lay in the box of it as bad coin.`;
    return { path: [...path, field], code: 'not-in-use-then', message };
  });
}

function toEntry({ issueId, mixedIssueIds, pieces, grams }: TallyEntryCommand): TallyEntry {
  if (pieces !== undefined) return { issueId: issueId ?? '', pieces: BigInt(pieces) };
  const weightMilligrams = toMilligrams(grams ?? '0');
  return mixedIssueIds === undefined ? { issueId: issueId ?? '', weightMilligrams } : { mixedIssueIds, weightMilligrams };
}

function idsOf(entry: TallyEntryCommand | undefined): readonly string[] {
  return entry?.mixedIssueIds ?? (entry?.issueId === undefined ? [] : [entry.issueId]);
}

function milligramsOf(entry: TallyEntry | undefined): string | null {
  return entry !== undefined && 'weightMilligrams' in entry ? String(entry.weightMilligrams) : null;
}

function inWords(refusal: TallyRefusal, path: readonly (string | number)[], { currency, issues }: { readonly currency: CurrencyCode; readonly issues: readonly CashIssue[] }): WrongField {
  const { kind, index } = refusal;
  const at = [...path, index];
  switch (kind) {
    case 'unknown-issue':
      return { path: [...at, 'issueId'], code: kind, message: issues.length === 0 ? `No coins of ${currency} are written down: enter amounts instead.` : `${currency} has no ${refusal.issueId}. See /v1/coin-sets?currency=${currency}.` };
    case 'issue-twice':
      return { path: [...at, 'issueId'], code: kind, message: 'This denomination is in the list already: add the two up.' };
    case 'no-weight':
      return { path: [...at, 'grams'], code: kind, message: 'This is counted in pieces, not by weight.' };
    case 'mix-of-weights':
      return { path: [...at, 'mixedIssueIds'], code: kind, message: 'These coins do not weigh the same for the same value: sort them first.' };
    case 'weigh-again': {
      const amount = (minor: bigint): string => moneyOf(minor, currency).amount;
      return { path: [...at, 'grams'], code: kind, message: `Weigh again: the weight lies between ${amount(refusal.belowMinor)} and ${amount(refusal.aboveMinor)}.` };
    }
  }
}

/** As answers show it. */
export function showTally(lines: readonly StoredTallyLine[] | null, currency: CurrencyCode): TallyLineView[] | null {
  if (lines === null) return null;
  const names = new Map(issuesOf(currency).map(({ id, name }) => [id, name]));
  return lines.map(({ issueIds, pieces, milligrams, valueMinor, possibleMinor }) => ({
    issueIds: [...issueIds],
    name: issueIds.map((id) => names.get(id) ?? id).join(', '),
    pieces,
    grams: milligrams === null ? null : toGrams(BigInt(milligrams)),
    value: moneyOf(BigInt(valueMinor), currency),
    possible: possibleMinor && { least: moneyOf(BigInt(possibleMinor[0]), currency), most: moneyOf(BigInt(possibleMinor[1]), currency) },
  }));
}
