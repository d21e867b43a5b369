/**
 * The statement as texts in reading order, every figure on a numbered line and every derived one naming the lines that it
 * comes from. Where things stand on paper is layout.ts's business.
 */
import type { EarlierPeriod, MachineTakings, PayableLine, StatementDocument, StatementParty, Waterfall } from '#statement/document';
import { chartOf, type ChartContent } from '#statement/page/chart-content';
import { codeOf, type Code } from '#statement/page/code';
import { formatAmount, formatCount, formatDate, formatDecimal, formatPeriod } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';
import type { StatementLanguage, StatementWords } from '#statement/words/words';

export interface Column {
  readonly title: string;
  readonly align: 'left' | 'right';
  /** Share of the room that the other columns leave; 0 takes what its texts need. */
  readonly grow: number;
  /** In points: keeps columns of tables under each other in line. */
  readonly atLeast?: number;
}

export interface Row {
  readonly line: number;
  readonly cells: readonly string[];
  readonly weight: 'plain' | 'sum' | 'total';
}

export interface Section {
  readonly title: string;
  readonly intro?: string;
  readonly columns: readonly Column[];
  readonly rows: readonly Row[];
  /** Cells of the running total after that many rows, for a table that is broken over pages. */
  readonly carried?: (rowCount: number) => readonly string[];
}

export interface Paragraph {
  readonly title: string;
  readonly lines: readonly string[];
}

export interface StatementContent {
  readonly title: string;
  readonly operator: { readonly name: string; readonly lines: readonly string[] };
  readonly facts: readonly { readonly label: string; readonly value: string }[];
  readonly payee: { readonly label: string; readonly name: string; readonly lines: readonly string[] };
  readonly site: { readonly label: string; readonly name: string; readonly lines: readonly string[] };
  readonly outcome: { readonly label: string; readonly amount: string; readonly currency: string; readonly also: readonly string[] };
  readonly terms: Paragraph | undefined;
  readonly sections: readonly Section[];
  readonly notes: readonly Paragraph[];
  readonly chart: ChartContent | undefined;
  readonly proof: {
    readonly title: string;
    readonly text: string;
    readonly values: readonly { readonly label: string; readonly value: string }[];
    /** A code that opens an address, with what is said beside it. */
    readonly code?: { readonly squares: Code; readonly alternative: string; readonly text: string };
  };
  /** At the head of every page but the first. */
  readonly continued: string;
  readonly page: (page: number, pages: number) => string;
  readonly columnTitles: { readonly line: string; readonly carriedForward: string; readonly broughtForward: string };
}

/** What the builders of sections share. */
interface Writing {
  readonly document: StatementDocument;
  readonly language: StatementLanguage;
  readonly words: StatementWords;
  readonly amount: (amountMinor: bigint) => string;
  /** The next line number. Numbers run through the whole statement. */
  readonly nextLine: () => number;
}

/** Lines that later figures refer to. */
interface References {
  total: number;
  /** By tag. */
  readonly machine: Map<string, number>;
  readonly share: number[];
  readonly guarantee: number[];
  readonly earlier: number[];
}

export function contentOf(document: StatementDocument): StatementContent {
  const language = languageOf(document.locale);
  const { words } = language;
  let line = 0;
  const writing: Writing = {
    document,
    language,
    words,
    amount: (amountMinor) => formatAmount(amountMinor, document.currency, language.conventions),
    nextLine: () => (line += 1),
  };
  const references: References = { total: 0, machine: new Map(), share: [], guarantee: [], earlier: [] };
  const sections = [
    takingsSection(writing, references),
    ...metersSection(writing),
    ...document.waterfalls.map((waterfall) => waterfallSection(writing, references, waterfall)),
    ...guaranteesSection(writing, references),
    ...document.earlierPeriods.map((period) => earlierSection(writing, references, period)),
    payableSection(writing, references),
  ];
  return {
    title: words.title,
    operator: partyOf(document.operator, words),
    facts: [
      { label: words.facts.number, value: document.statementNumber },
      { label: words.facts.period, value: formatPeriod(document, language) },
      { label: words.facts.issued, value: formatDate(document.issuedOn, language) },
      { label: words.facts.currency, value: document.currency },
    ],
    payee: { label: words.payee, ...partyOf(document.payee, words) },
    site: { label: words.site, name: document.site.name, lines: [...partyOf(document.site, words).lines, words.siteCode(document.site.code)] },
    outcome: outcomeOf(writing),
    terms: document.terms.length === 0 ? undefined : { title: words.terms, lines: document.terms },
    sections,
    chart: chartOf(document, language),
    notes: notesOf(writing),
    proof: {
      title: words.proof.title,
      text: words.proof.text(formatCount(document.evidence.headSize, language.conventions)),
      values: [
        { label: words.proof.head, value: document.evidence.headRoot },
        { label: words.proof.digest, value: document.evidence.settlementDigest },
      ],
      ...verificationCode(document, words),
    },
    continued: words.continued(document.statementNumber),
    page: words.page,
    columnTitles: words.table,
  };
}

function verificationCode({ verificationAddress: address }: StatementDocument, { proof }: StatementWords): Pick<StatementContent['proof'], 'code'> {
  return address === undefined ? {} : { code: { squares: codeOf(address), alternative: proof.codeAlternative(address), text: proof.code } };
}

function partyOf(party: StatementParty, words: StatementWords): { name: string; lines: string[] } {
  const registration = party.registration === undefined ? [] : [words.registration(party.registration)];
  return { name: party.name, lines: [...party.addressLines, ...registration] };
}

function outcomeOf({ document, words, amount }: Writing): StatementContent['outcome'] {
  const { dueMinor, carriedForwardMinor, payment, currency } = document;
  const label = dueMinor === 0n ? words.outcome.nothing : dueMinor > 0n ? words.outcome.paidToPayee : words.outcome.paidByPayee;
  const carried = carriedForwardMinor === 0n ? [] : [`${words.outcome.carried}: ${amount(carriedForwardMinor)}`];
  return { label, amount: amount(dueMinor < 0n ? -dueMinor : dueMinor), currency, also: [...carried, ...(payment === undefined ? [] : [payment])] };
}

function takingsSection({ document, words, amount, nextLine }: Writing, references: References): Section {
  const { machines } = document;
  const optional = (title: string, of: (machine: MachineTakings) => bigint): MoneyColumn[] =>
    machines.some((machine) => of(machine) !== 0n) ? [{ title, of }] : [];
  const money: MoneyColumn[] = [
    { title: words.takings.coins, of: ({ coinMinor }) => coinMinor },
    { title: words.takings.notes, of: ({ noteMinor }) => noteMinor },
    ...optional(words.takings.cashless, ({ cashlessMinor }) => cashlessMinor),
    ...optional(words.takings.tokens, ({ tokenMinor }) => tokenMinor),
    ...optional(words.takings.adjustments, ({ adjustmentMinor }) => adjustmentMinor),
    { title: words.takings.refunds, of: ({ refundsMinor }) => -refundsMinor },
    { title: words.takings.net, of: ({ netMinor }) => netMinor },
  ];
  const totals = (rowCount: number): string[] =>
    money.map(({ of }) => amount(machines.slice(0, rowCount).reduce((total, machine) => total + of(machine), 0n)));
  const rows: Row[] = machines.map((machine) => {
    const line = nextLine();
    references.machine.set(machine.machineTag, line);
    return { line, cells: [machine.machineTag, machine.game, ...money.map(({ of }) => amount(of(machine)))], weight: 'plain' };
  });
  references.total = nextLine();
  rows.push({ line: references.total, cells: [words.takings.total, '', ...totals(machines.length)], weight: 'sum' });
  return {
    title: words.takings.title,
    ...(machines.length === 0 ? { intro: words.takings.none } : {}),
    columns: [
      { title: words.takings.machine, align: 'left', grow: 0 },
      { title: words.takings.game, align: 'left', grow: 1 },
      ...money.map(({ title }) => ({ title, align: 'right', grow: 0 }) as const),
    ],
    rows,
    carried: (rowCount) => ['', ...totals(rowCount)],
  };
}

/** What the meters showed, for whoever writes it down beside the machine; their units are whatever each meter counts. */
function metersSection({ document, language, words, nextLine }: Writing): Section[] {
  const { meters = [] } = document;
  if (meters.length === 0) return [];
  const count = (value: bigint | undefined): string => (value === undefined ? words.meters.none : formatCount(value, language.conventions));
  return [
    {
      title: words.meters.title,
      columns: [
        { title: words.takings.machine, align: 'left', grow: 0 },
        { title: words.meters.meter, align: 'left', grow: 1 },
        { title: words.meters.before, align: 'right', grow: 0, atLeast: 84 },
        { title: words.meters.last, align: 'right', grow: 0, atLeast: 84 },
        { title: words.meters.readOn, align: 'right', grow: 0, atLeast: 84 },
      ],
      rows: meters.map(({ machineTag, meter, beforeValue, lastValue, readOn }) => ({
        line: nextLine(),
        cells: [machineTag, meter, count(beforeValue), count(lastValue), formatDate(readOn, language)],
        weight: 'plain',
      })),
    },
  ];
}

interface MoneyColumn {
  readonly title: string;
  readonly of: (machine: MachineTakings) => bigint;
}

function derivationColumns({ table }: StatementWords): Column[] {
  return [
    { title: table.item, align: 'left', grow: 4 },
    { title: table.basis, align: 'left', grow: 5 },
    { title: table.amount, align: 'right', grow: 0, atLeast: 84 },
  ];
}

function waterfallSection(writing: Writing, references: References, waterfall: Waterfall): Section {
  const { document, language, words, amount, nextLine } = writing;
  const rows: Row[] = [];
  const add = (label: string, basis: string, amountMinor: bigint, weight: Row['weight'] = 'plain'): number => {
    const line = nextLine();
    rows.push({ line, cells: [label, basis, amount(amountMinor)], weight });
    return line;
  };
  const first = add(words.sharing.netTakings, linesText(words, takingsOf(writing, references, waterfall)), waterfall.netTakingsMinor);
  let last = first;
  if (waterfall.lossBroughtForwardMinor !== 0n) last = add(words.sharing.lossBroughtForward, '', waterfall.lossBroughtForwardMinor);
  for (const tax of waterfall.taxes) last = add(words.sharing.tax(tax.label), tax.detail ?? '', -tax.amountMinor);
  for (const charge of waterfall.charges) {
    last = add(charge.label, joined([words.sharing.chargeTo(charge.party), charge.detail]), -charge.amountMinor);
  }
  if (waterfall.lossCarriedForwardMinor !== 0n) last = add(words.sharing.lossCarriedForward, '', -waterfall.lossCarriedForwardMinor);
  add(words.sharing.left, first === last ? '' : words.lines(first, last), waterfall.leftMinor, 'sum');
  for (const share of waterfall.shares) {
    const basis = share.percent === undefined ? (saysWhereFrom(document) ? words.sharing.byBands : '') : words.sharing.percent(formatDecimal(share.percent, language.conventions));
    const line = add(words.sharing.shareOf(share.party), basis, share.amountMinor);
    if (share.isPayee) references.share.push(line);
  }
  const title = waterfall.title === undefined ? words.sharing.title : `${words.sharing.title}: ${waterfall.title}`;
  return { title, columns: derivationColumns(words), rows };
}

/** Since this version a page says whose a debt is, and of each figure where it comes from. */
const FIRST_WITH_SOURCES = 4;

function saysWhereFrom({ pageVersion }: StatementDocument): boolean {
  return pageVersion === undefined || pageVersion >= FIRST_WITH_SOURCES;
}

/** The lines that the takings of a pool add up: the sum of all, or those of its machines. */
function takingsOf({ document }: Writing, references: References, { machineTags = [] }: Waterfall): number[] {
  if (document.waterfalls.length === 1) return [references.total];
  if (!saysWhereFrom(document)) return [];
  return machineTags.flatMap((tag) => references.machine.get(tag) ?? []).sort((left, right) => left - right);
}

function guaranteesSection({ document, words, amount, nextLine }: Writing, references: References): Section[] {
  if (document.guarantees.length === 0) return [];
  const rows = document.guarantees.flatMap(({ label, moves }) =>
    moves.map(({ party, amountMinor, isPayee }): Row => {
      const line = nextLine();
      if (isPayee) references.guarantee.push(line);
      return { line, cells: [label, words.sharing.guaranteeFor(party), amount(amountMinor)], weight: 'plain' };
    }),
  );
  return [{ title: words.sharing.guarantees, columns: derivationColumns(words), rows }];
}

function earlierSection({ document, language, words, amount, nextLine }: Writing, references: References, period: EarlierPeriod): Section {
  const rows: Row[] = period.lines.map(({ label, issuedMinor, nowMinor }) => ({
    line: nextLine(),
    cells: [label, amount(issuedMinor), amount(nowMinor), amount(nowMinor - issuedMinor)],
    weight: 'plain',
  }));
  const line = nextLine();
  references.earlier.push(line);
  rows.push({ line, cells: [words.earlier.forPayee(document.payee.name), '', '', amount(period.forPayeeMinor)], weight: 'sum' });
  return {
    title: words.earlier.title(formatPeriod(period, language), period.statementNumber),
    intro: period.reason,
    columns: [
      { title: words.table.item, align: 'left', grow: 1 },
      { title: words.earlier.asIssued, align: 'right', grow: 0, atLeast: 64 },
      { title: words.earlier.now, align: 'right', grow: 0, atLeast: 64 },
      { title: words.earlier.change, align: 'right', grow: 0, atLeast: 64 },
    ],
    rows,
  };
}

function payableSection({ document, words, amount, nextLine }: Writing, references: References): Section {
  const earlier = [...references.earlier];
  const derivedFrom = ({ kind }: PayableLine): readonly number[] => {
    // One block each, in the same order; the others are added up over all pools.
    if (kind === 'earlier-period') return earlier.splice(0, 1);
    return kind === 'share' || kind === 'guarantee' ? references[kind] : [];
  };
  const rows: Row[] = document.payable.map((line) => ({
    line: nextLine(),
    cells: [...payableTexts(words, derivedFrom(line), line), amount(line.amountMinor)],
    weight: 'plain',
  }));
  const [first, last] = [rows[0]?.line, rows.at(-1)?.line];
  const allLines = first === undefined || last === undefined ? '' : words.lines(first, last);
  const total = nextLine();
  const isCarried = document.carriedForwardMinor !== 0n;
  const due = document.dueMinor < 0n && saysWhereFrom(document) ? words.outcome.paidByPayee : words.payable.due;
  rows.push({ line: total, cells: [isCarried ? words.payable.total : due, allLines, amount(document.payableMinor)], weight: isCarried ? 'sum' : 'total' });
  if (isCarried) {
    const carried = nextLine();
    rows.push({ line: carried, cells: [words.payable.carriedForward, '', amount(-document.carriedForwardMinor)], weight: 'plain' });
    rows.push({ line: nextLine(), cells: [due, words.lines(total, carried), amount(document.dueMinor)], weight: 'total' });
  }
  const running = (rowCount: number): string =>
    amount(document.payable.slice(0, rowCount).reduce((sum, { amountMinor }) => sum + amountMinor, 0n));
  return {
    title: document.payableMinor < 0n && saysWhereFrom(document) ? words.payable.titleOwed : words.payable.title,
    columns: derivationColumns(words),
    rows,
    carried: (rowCount) => ['', running(rowCount)],
  };
}

/** Label and basis of a line: where it was derived above, unless there is more to say. */
function payableTexts(words: StatementWords, derivedFrom: readonly number[], line: PayableLine): [string, string] {
  if (line.kind === 'other') return [line.detail ?? '', ''];
  return [words.payable.kinds[line.kind], line.detail ?? linesText(words, derivedFrom)];
}

/** `lines 4 to 6 and line 9`. */
function linesText(words: StatementWords, lines: readonly number[]): string {
  const runs: { first: number; last: number }[] = [];
  for (const line of lines) {
    const run = runs.at(-1);
    if (run !== undefined && run.last + 1 === line) run.last = line;
    else runs.push({ first: line, last: line });
  }
  return runs.map(({ first, last }) => words.lines(first, last)).join(words.and);
}

function notesOf({ document, words, amount }: Writing): Paragraph[] {
  const { advance, cautions } = document;
  const balance = advance && words.advance.text({
    before: amount(advance.openBeforeMinor),
    repaid: amount(advance.repaidMinor),
    after: amount(advance.openAfterMinor),
  });
  return [
    ...(balance === undefined ? [] : [{ title: words.advance.title, lines: [balance] }]),
    ...(cautions.length === 0 ? [] : [{ title: words.cautions, lines: cautions }]),
  ];
}

function joined(parts: readonly (string | undefined)[]): string {
  return parts.filter((part) => part !== undefined && part !== '').join(', ');
}
