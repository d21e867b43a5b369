import type { SettlementLine, Why } from '#contracts/settlement';
import { moneyOf } from '#contracts/money';
import type { PeriodInputs, SettlementInputs } from '#domain/settlement/inputs';
import type { Explanation, InputRef, Line } from '#domain/settlement/lines';
import type { SettlementResult } from '#domain/settlement/result';
import type { LocalDate } from '#domain/calendar/local-date';
import { exactText, exactValueOf } from './exact';
import type { ExplainLabels } from './labels';
import { ruleVersionOf } from './rule-version';
import { speechFor, type Speech } from './speech';
import { changeSentence, ruleText, type RuleNames } from './words';

/** A settlement computed with explanations, and what people call those whom it names by id. */
export type Explained = {
  readonly inputs: SettlementInputs;
  readonly result: SettlementResult;
  readonly partyName: (party: string) => string;
  readonly speech: Speech;
};

/** All lines with how each came about, in their order: earlier periods, the period itself, the payout. */
export function explainedLines(settlement: Explained): SettlementLine[] {
  const { result, inputs } = settlement;
  const inputsAt = (position: number): PeriodInputs => inputs.earlier[position]?.inputs ?? inputs.current;
  const look = lookUp(settlement);
  const ownStartsOn = result.periods.at(-1)?.period.from;
  if (ownStartsOn === undefined) throw new Error('a settlement without a period');
  return [
    ...result.periods.flatMap((period, position) => {
      const periodInputs = inputsAt(position);
      const byKey = new Map(period.lines.map((line) => [line.key, [line]]));
      return period.lines.map((line) => lineBody(look, { line, periodStartsOn: period.period.from, periodInputs, linesOf: (key) => byKey.get(key) ?? [] }));
    }),
    ...payoutBodies(look, settlement, ownStartsOn),
  ];
}

/** Lines of the payout add up lines of all periods, so a key may lead to several of them. */
function payoutBodies(look: LookUp, { result, inputs }: Explained, periodStartsOn: LocalDate): SettlementLine[] {
  const byKey = new Map<string, Line[]>();
  for (const line of [...result.periods.flatMap((period) => period.lines), ...result.payoutLines]) {
    byKey.set(line.key, [...(byKey.get(line.key) ?? []), line]);
  }
  return result.payoutLines.map((line) => lineBody(look, { line, periodStartsOn, periodInputs: inputs.current, linesOf: (key) => byKey.get(key) ?? [] }));
}

type Placed = { readonly line: Line; readonly periodStartsOn: LocalDate; readonly periodInputs: PeriodInputs; readonly linesOf: (key: string) => readonly Line[] };

function lineBody(look: LookUp, placed: Placed): SettlementLine {
  const { line, periodStartsOn } = placed;
  const { machineId, party } = line.about;
  return {
    lineNumber: line.number,
    periodStartsOn,
    step: line.step,
    kind: line.kind,
    label: labelOf(line, look.speech),
    title: line.about.title ?? null,
    machineTag: machineId === undefined ? null : look.machineTag(machineId),
    party: party === undefined ? null : look.partyName(party),
    amount: moneyOf(line.amountMinor, look.currency),
    why: line.explanation === undefined ? null : whyOf(look, placed, line.explanation),
  };
}

/** What a figure is called; in English where no language was asked for. */
export function labelOf(line: Pick<Line, 'kind' | 'about'>, { explanations }: Speech = speechFor(undefined)): string {
  return explanations.lines[line.kind].replace('{title}', line.about.title ?? '');
}

function whyOf(look: LookUp, { line, linesOf, periodInputs }: Placed, explanation: Explanation): Why {
  const { explanations, labels } = look.speech;
  const amount = (minor: bigint): string => look.speech.amount(minor, look.currency);
  const sentence = explanations.formulas[explanation.formula];
  const inputs: Input[] = [
    ...explanation.inputs.flatMap((input) => inputsOf(look, input, linesOf)),
    ...Object.entries(explanation.parameters).map(([name, text]) => parameterOf(name, text, { amount, labels })),
  ];
  return {
    text: line.change === undefined ? sentence : `${changeSentence(explanations, { issued: amount(line.change.issuedMinor), now: amount(line.change.nowMinor) })} ${sentence}`,
    formula: explanation.formula,
    change: line.change === undefined ? null : { issued: amount(line.change.issuedMinor), now: amount(line.change.nowMinor) },
    step: line.step,
    rule: explanation.rule === null ? null : ruleText(explanation.rule, look),
    ruleVersion: ruleVersionOf({ rule: explanation.rule, line, inputs: periodInputs }),
    exactValue: exactValueOf(line, explanation),
    exact: explanation.exact === null ? null : exactText(explanation.exact, look.currency),
    inputs: [...inputs, ...(line.change === undefined ? [] : changeInputs(line.change, labels)), ...(inputs.length > 0 || line.change !== undefined ? [] : [whereNothingElse(line, labels)])].map(
      (input) => ('minor' in input ? { label: input.label, value: amount(input.minor), lineNumber: null } : input),
    ),
  };
}

type Input = Why['inputs'][number] | { readonly label: string; readonly minor: bigint };

/** Lines that a figure was reckoned from and that are as they were do not stand in a difference; these two always do. */
function changeInputs({ issuedMinor, nowMinor }: NonNullable<Line['change']>, labels: ExplainLabels): Input[] {
  return [
    { label: labels.issuedBefore, minor: issuedMinor },
    { label: labels.now, minor: nowMinor },
  ];
}

/** A figure that no record and no line went into still came from somewhere. */
function whereNothingElse({ kind, amountMinor }: Line, labels: ExplainLabels): Input {
  if (kind === 'loss-in') return { label: labels.leftByPeriodBefore, minor: amountMinor };
  return kind === 'payable' ? { label: labels.nothingToAddUp, minor: 0n } : { label: labels.amountByRule, minor: amountMinor };
}

function parameterOf(name: string, text: string, { amount, labels }: { readonly amount: (minor: bigint) => string; readonly labels: ExplainLabels }): Why['inputs'][number] {
  return { label: labels.parameters[name] ?? name, value: name.endsWith('Minor') ? amount(BigInt(text)) : text, lineNumber: null };
}

function inputsOf(look: LookUp, input: InputRef, linesOf: (key: string) => readonly Line[]): Why['inputs'] {
  if (input.of === 'line') {
    return linesOf(input.key).map((line) => ({ label: nameOf(look, line), value: look.speech.amount(line.amountMinor, look.currency), lineNumber: line.number }));
  }
  const record = look.record(input.id);
  return [{ label: record?.label ?? `${input.of} ${input.id}`, value: record === undefined ? null : look.speech.amount(record.amountMinor, look.currency), lineNumber: null }];
}

/** A line in words that tell it from its neighbours: numbers of lines stand nowhere on the statement or the screen. */
function nameOf(look: LookUp, line: Line): string {
  const { machineId, party } = line.about;
  return [labelOf(line, look.speech), ...(machineId === undefined ? [] : [look.machineTag(machineId)]), ...(party === undefined ? [] : [look.partyName(party)])].join(', ');
}

type RecordText = { readonly label: string; readonly amountMinor: bigint };

type LookUp = RuleNames & {
  readonly currency: SettlementInputs['currency'];
  readonly partyName: (party: string) => string;
  readonly machineTag: (machineId: string) => string;
  readonly record: (id: string) => RecordText | undefined;
};

function handedAs({ reason, amountMinor }: SettlementInputs['handedCash'][number]): Parameters<ExplainLabels['handed']>[0] {
  if (reason !== 'on-account') return 'handed';
  return amountMinor < 0n ? 'by-payee' : 'on-account';
}

function lookUp({ inputs, partyName, speech }: Explained): LookUp {
  const { labels, day } = speech;
  const periods = [...inputs.earlier.map((earlier) => earlier.inputs), inputs.current];
  const tags = new Map(periods.flatMap((period) => period.machines.map((machine) => [machine.id, machine.tag])));
  const machineTag = (machineId: string): string => tags.get(machineId) ?? machineId;
  const records = new Map([
    ...periods.flatMap((period) => recordsOf(period, machineTag, { labels, day, amount: (minor) => speech.amount(minor, inputs.currency) })),
    ...inputs.handedCash.map((cash): [string, RecordText] => [cash.id, { label: labels.handed(handedAs(cash), day(cash.date)), amountMinor: cash.amountMinor }]),
    ...inputs.advances.map((advance): [string, RecordText] => [advance.id, { label: labels.advance, amountMinor: advance.openMinor }]),
    ...inputs.carriedItems.map((item): [string, RecordText] => [item.id, { label: labels.carried, amountMinor: item.amountMinor }]),
  ]);
  const versions = new Map(periods.flatMap((period) => period.versions.map((version) => [version.id, version])));
  const rules = new Map(periods.flatMap((period) => period.taxRules.map((rule) => [rule.id, `${labels.taxFrom(rule.title, day(rule.from))}${rule.source === '' ? '' : ` (${rule.source})`}`])));
  return {
    currency: inputs.currency,
    partyName,
    machineTag,
    record: (id) => records.get(id),
    version: (id) => versions.get(id),
    taxRule: (id) => rules.get(id),
    speech,
    writing: { ...speech.terms(inputs.currency), party: partyName },
  };
}

/** Tokens and meters of a count, which stand beside its cash: `, 12 x RED, meters 245.00`. */
function besideCash({ tokens, meteredMinor }: PeriodInputs['counts'][number], { labels, amount }: Told): string {
  return [...tokens.map(({ tokenId, pieces }) => `, ${labels.tokens(pieces, tokenId)}`), ...(meteredMinor === null ? [] : [`, ${labels.meters(amount(meteredMinor))}`])].join('');
}

type Told = Pick<Speech, 'labels' | 'day'> & { readonly amount: (minor: bigint) => string };

function recordsOf(period: PeriodInputs, machineTag: (id: string) => string, told: Told): [string, RecordText][] {
  const at = (what: Parameters<ExplainLabels['record']>[0], date: LocalDate, machineId: string): string => told.labels.record(what, told.day(date), machineTag(machineId));
  return [
    ...period.counts.map((count): [string, RecordText] => [count.id, { label: at('count', count.countedOn, count.machineId) + besideCash(count, told), amountMinor: count.coinMinor + count.noteMinor }]),
    ...period.refundSlips.map((slip): [string, RecordText] => [slip.id, { label: at('slip', slip.date, slip.machineId), amountMinor: slip.amountMinor }]),
    ...period.cashless.map((item): [string, RecordText] => [item.id, { label: at('cards', item.accountingDate, item.machineId), amountMinor: item.grossMinor - item.refundedMinor }]),
    ...period.breakIns.map((item): [string, RecordText] => [item.id, { label: at('break-in', item.accountingDate, item.machineId), amountMinor: item.amountMinor }]),
  ];
}
