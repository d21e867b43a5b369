import { addDays, fromDayNumber, toDayNumber, weekdayOf, yearMonthDayOf, type LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { english, gameTitles, german, type GameKind, type Wording } from './names';
import { chanceFrom, type Chance } from './random';

/**
 * The demo as plain data: two operators with their sites, machines, moves, games, agreements. Made from a seed and a date
 * alone; the use cases enter it into the books as people would have done, month by month.
 */
export type DemoOperator = {
  readonly code: string;
  readonly name: string;
  readonly country: string;
  readonly currency: CurrencyCode;
  readonly locale: string;
  readonly timeZone: string;
  readonly paper: 'A4' | 'Letter';
  readonly csvDecimal: 'point' | 'comma';
  readonly addressLines: readonly string[];
  readonly ownerName: string;
  readonly bookkeeperName: string;
  readonly auditorName: string;
  /** Keeps the keys that nobody was given, and collects nothing. */
  readonly custodian: DemoPerson;
  /** What the operator's people call things, in their own language: where keys lie and hang, rounds, a phone, boards and their meters, why a player got money back, where the rule of the tax is from, and the reasons that they give. */
  readonly words: { readonly safe: string; readonly van: string; readonly hook: string; readonly round: string; readonly earlierRound: string; readonly phone: string; readonly boards: { readonly mechanical: string; readonly electronic: string; readonly coins: string; readonly notes: string; readonly plays: string }; readonly refundReasons: readonly [string, string, string]; readonly paymentFor: string; readonly accountFrom: { readonly contract: string; readonly letter: string }; readonly taxSource: string; readonly why: Readonly<Record<'lent' | 'missing' | 'newCut' | 'secondKey' | 'count' | 'counted' | 'made' | 'ring' | 'smallFaults' | 'house' | 'accountClosed' | 'advance' | 'delivered' | 'changed' | 'disputed', string>> };
  /** What the operator's people call each kind of machine. */
  readonly kinds: Readonly<Record<GameKind, string>>;
  readonly cycle: { readonly kind: 'month' } | { readonly kind: 'four-weeks'; readonly anchor: LocalDate };
  /** First day of the oldest period; everything was in place on it. */
  readonly startsOn: LocalDate;
  readonly tax: { readonly areaCode: string; readonly areaName: string; readonly title: string; readonly components: readonly { readonly title: string; readonly ratePercent: string }[] };
  readonly games: readonly { readonly code: string; readonly title: string; readonly kind: GameKind }[];
  readonly collectors: readonly DemoPerson[];
  readonly sites: readonly DemoSite[];
};

export type DemoPerson = { readonly code: string; readonly name: string };

export type DemoSite = {
  readonly code: string;
  readonly name: string;
  readonly addressLines: readonly string[];
  readonly owner: { readonly code: string; readonly name: string };
  readonly manager: DemoPerson;
  /** In the order in which they hold; the first from the operator's first day. */
  readonly terms: readonly { readonly from: LocalDate; readonly terms: DemoTerms }[];
  readonly daysBetweenVisits: 7 | 14;
  readonly firstVisitAfterDays: number;
  /** How the place does against an average one, in percent. */
  readonly strengthPercent: number;
  readonly handsCashOut: boolean;
  /** Whether its staff were given a key already. */
  readonly hasKey: boolean;
  readonly machines: readonly DemoMachine[];
};

export type DemoTerms = { readonly sitePercent: number; readonly operatorFirstPerWeekMinor: bigint | null };

export type DemoMachine = {
  readonly tag: string;
  readonly kind: GameKind;
  readonly dailyMinor: number;
  /** Games in it, one after the other. */
  readonly games: readonly { readonly code: string; readonly from: LocalDate }[];
  /** Day on which it moves to the site of that code, if it does. */
  readonly move: { readonly on: LocalDate; readonly toSiteCode: string } | null;
  /** From that day on, this much of each count goes missing. */
  readonly shortage: { readonly from: LocalDate; readonly until: LocalDate; readonly percent: number } | null;
};

export type Dates = { readonly today: LocalDate; readonly monthsBack: number };

export function makeWorld(seed: string, { today, monthsBack }: Dates): readonly DemoOperator[] {
  const chance = chanceFrom(seed);
  const { year, month } = yearMonthDayOf(toDayNumber(today));
  const months = year * 12 + (month - 1) - monthsBack;
  const firstOfMonth = fromDayNumber(toDayNumber(isoDate(Math.floor(months / 12), (months % 12) + 1)));
  // Four-week periods begin on Mondays; the anchor is the last Monday before the first month.
  const monday = addDays(firstOfMonth, 1 - weekdayOf(toDayNumber(firstOfMonth)));
  return [
    operator(chance.fork('brackwater'), { ...brackwater, startsOn: firstOfMonth, cycle: { kind: 'month' } }, { today, siteCount: 33, machineCount: 192, sitesWithKey: 8, wording: english }),
    operator(chance.fork('tannhag'), { ...tannhag, startsOn: monday, cycle: { kind: 'four-weeks', anchor: monday } }, { today, siteCount: 27, machineCount: 158, sitesWithKey: 6, wording: german }),
  ];
}

type Frame = Omit<DemoOperator, 'games' | 'collectors' | 'sites'>;

const brackwater: Omit<Frame, 'startsOn' | 'cycle'> = {
  code: 'brackwater',
  name: 'Brackwater Route Company',
  country: 'US',
  currency: 'USD',
  locale: 'en-US',
  timeZone: 'America/Chicago',
  paper: 'Letter',
  csvDecimal: 'point',
  addressLines: ['14 Depot Ave', 'Brackwater, ZZ 00107'],
  ownerName: 'Marlow Quist',
  bookkeeperName: 'Dana Ferrow',
  auditorName: 'Rowan Pellworth',
  custodian: { code: 'K-1', name: 'Emerson Huxtable' },
  words: { safe: 'Office safe', van: 'Service van', hook: 'Hook behind the counter', round: 'North of the river', earlierRound: 'Old town', phone: 'Phone of', boards: { mechanical: 'Mechanical meters', electronic: 'Electronic meters', coins: 'Coins', notes: 'Notes', plays: 'Credits' }, refundReasons: ['Coin stuck, no credit', 'Note taken, no credit', 'Game stopped halfway'], paymentFor: 'Statements to', accountFrom: { contract: 'Contract with the bank', letter: 'Letter of the payee, called back at the number in the agreement' }, taxSource: 'Invented for the demo. Ask the tax authority or a licensed practitioner for the rules of a real place.', why: { lent: 'Lent for repairs at three sites', missing: 'The hook was empty in the morning; nobody of the staff has it', newCut: 'In place of the cut of which a key is lost', secondKey: 'Second key for the early shift', count: 'First count, before any key goes out', counted: 'Every key lay where the books have it', made: 'Came with the locks, numbered and put away', ring: 'Ring for the rounds', smallFaults: 'So that a small fault is no outage', house: 'Opens and closes the house', accountClosed: 'The account is closed.', advance: 'For the new counter, to be paid back by the site', delivered: 'New cut ordered and delivered', changed: 'Cylinder changed on the round', disputed: 'The site says that a collection is missing from it.' } },
  kinds: { pinball: 'pinball', video: 'video', jukebox: 'jukebox', 'pool-table': 'pool-table' },
  tax: {
    areaCode: 'HARLAN-COUNTY',
    areaName: 'Harlan County (invented)',
    title: 'Sales tax in the price',
    components: [
      { title: 'State sales tax', ratePercent: '4' },
      { title: 'County surtax', ratePercent: '0.5' },
    ],
  },
};

const tannhag: Omit<Frame, 'startsOn' | 'cycle'> = {
  code: 'tannhag',
  name: 'Tannhager Automatenbetrieb',
  country: 'DE',
  currency: 'EUR',
  locale: 'de-DE',
  timeZone: 'Europe/Berlin',
  paper: 'A4',
  csvDecimal: 'comma',
  addressLines: ['Lehmgrube 3', '00991 Tannhag'],
  ownerName: 'Ines Hasselfeld',
  bookkeeperName: 'Falk Ziegelbauer',
  auditorName: 'Thea Brühl',
  custodian: { code: 'K-1', name: 'Nuria Paschke' },
  words: { safe: 'Tresor im Büro', van: 'Servicewagen', hook: 'Haken hinter der Theke', round: 'Nordrunde', earlierRound: 'Altstadtrunde', phone: 'Telefon von', boards: { mechanical: 'Mechanische Zählwerke', electronic: 'Elektronische Zählwerke', coins: 'Münzen', notes: 'Scheine', plays: 'Kredite' }, refundReasons: ['Münze klemmte, kein Kredit', 'Schein eingezogen, kein Kredit', 'Spiel blieb hängen'], paymentFor: 'Abrechnungen bis', accountFrom: { contract: 'Kontovertrag mit der Bank', letter: 'Schreiben des Empfängers, unter der Nummer aus dem Vertrag zurückgerufen' }, taxSource: 'Für die Demo erfunden. Für die Regeln eines wirklichen Ortes fragen Sie das Finanzamt oder eine zugelassene Beratung.', why: { lent: 'Für Reparaturen an drei Standorten geliehen', missing: 'Der Haken war am Morgen leer; von den Leuten dort hat ihn niemand', newCut: 'Anstelle der Schließung, von der ein Schlüssel verloren ist', secondKey: 'Zweiter Schlüssel für die Frühschicht', count: 'Erste Zählung, bevor ein Schlüssel hinausgeht', counted: 'Jeder Schlüssel lag, wo ihn die Bücher haben', made: 'Kamen mit den Schlössern, nummeriert und verwahrt', ring: 'Bund für die Touren', smallFaults: 'Damit aus einer kleinen Störung kein Ausfall wird', house: 'Öffnet und schließt das Haus', accountClosed: 'Das Konto ist erloschen.', advance: 'Für die neue Theke, vom Standort zurückzuzahlen', delivered: 'Neue Schließung bestellt und geliefert', changed: 'Zylinder auf der Tour getauscht', disputed: 'Der Standort sagt, dass eine Leerung darin fehlt.' } },
  kinds: { pinball: 'flipper', video: 'videospiel', jukebox: 'musikbox', 'pool-table': 'billardtisch' },
  tax: { areaCode: 'TANNHAG', areaName: 'Tannhag (erfunden)', title: 'Umsatzsteuer im Preis', components: [{ title: 'Umsatzsteuer', ratePercent: '19' }] },
};

const FIRST_WITH_KEY = 3;

type Size = { readonly today: LocalDate; readonly siteCount: number; readonly machineCount: number; readonly sitesWithKey: number; readonly wording: Wording };

function operator(chance: Chance, frame: Frame, size: Size): DemoOperator {
  const games = (Object.keys(gameTitles) as GameKind[]).flatMap((kind) => gameTitles[kind].map((title) => ({ kind, title })));
  const coded = games.map((game, index) => ({ ...game, code: `G-${String(index + 1).padStart(3, '0')}` }));
  const siteCodes = Array.from({ length: size.siteCount }, (_, index) => `S-${String(index + 1).padStart(3, '0')}`);
  const sites = siteCodes.map((code, index) => {
    const machineCount = Math.floor(((index + 1) * size.machineCount) / size.siteCount) - Math.floor((index * size.machineCount) / size.siteCount);
    const firstMachine = Math.floor((index * size.machineCount) / size.siteCount) + 1;
    return site(chance.fork(code), { frame, size, code, index, siteCodes, games: coded, machineCount, firstMachine });
  });
  const collectors = Array.from({ length: 4 }, (_, index) => ({ code: `C-${index + 1}`, name: personName(chance, size.wording, index) }));
  return { ...frame, games: coded, collectors, sites };
}

type SiteFrame = {
  readonly frame: Frame;
  readonly size: Size;
  readonly code: string;
  readonly index: number;
  readonly siteCodes: readonly string[];
  readonly games: DemoOperator['games'];
  readonly machineCount: number;
  readonly firstMachine: number;
};

function site(chance: Chance, at: SiteFrame): DemoSite {
  const { frame, size, code, index } = at;
  const { wording } = size;
  const first = wording.siteFirst[index % wording.siteFirst.length] ?? '';
  const second = wording.siteSecond[(index + Math.floor(index / wording.siteFirst.length) * 5) % wording.siteSecond.length] ?? '';
  const name = `${first} ${second}`;
  const sitePercent = chance.pick([40, 45, 50, 50, 50, 55]);
  const original: DemoTerms = { sitePercent, operatorFirstPerWeekMinor: chance.percent(35) ? BigInt(chance.between(4, 15) * 500) : null };
  const changed = index % 9 === 4;
  return {
    code,
    name,
    addressLines: [wording.street(chance.between(1, 180), chance.pick(wording.streets)), chance.pick(wording.towns)],
    owner: { code: `P-${code.slice(2)}`, name: `${chance.pick(wording.lastNames)} & ${chance.pick(wording.lastNames)}` },
    manager: { code: `SM-${code.slice(2)}`, name: personName(chance, wording, index) },
    terms: [
      { from: frame.startsOn, terms: original },
      ...(changed ? [{ from: addDays(frame.startsOn, chance.between(120, 300)), terms: { ...original, sitePercent: sitePercent + 5 } }] : []),
    ],
    daysBetweenVisits: chance.percent(25) ? 7 : 14,
    firstVisitAfterDays: chance.between(2, 7),
    strengthPercent: chance.between(55, 165),
    handsCashOut: chance.percent(25),
    // At both ends of the list: the site that signs in is the first, and few sites share the cut of the last ones, so that a
    // key lost there makes a case of a page.
    hasKey: index < FIRST_WITH_KEY || size.siteCount - index <= size.sitesWithKey - FIRST_WITH_KEY,
    machines: Array.from({ length: at.machineCount }, (_, offset) => machine(chance.fork(`machine ${offset}`), at, at.firstMachine + offset)),
  };
}

const dailyRange: Readonly<Record<GameKind, readonly [number, number]>> = { pinball: [700, 2400], video: [450, 1700], jukebox: [300, 1100], 'pool-table': [600, 2600] };

function machine(chance: Chance, { frame, size, code, siteCodes, games }: SiteFrame, serial: number): DemoMachine {
  const kind = chance.pick<GameKind>(['pinball', 'pinball', 'video', 'video', 'jukebox', 'pool-table']);
  const fitting = games.filter((game) => game.kind === kind);
  const first = chance.pick(fitting);
  const days = toDayNumber(size.today) - toDayNumber(frame.startsOn);
  const someDay = (): LocalDate => addDays(frame.startsOn, chance.between(40, days - 60));
  const changesGame = fitting.length > 1 && chance.percent(20);
  const shortFrom = someDay();
  return {
    tag: `M-${String(serial).padStart(4, '0')}`,
    kind,
    dailyMinor: chance.between(...dailyRange[kind]),
    games: [{ code: first.code, from: frame.startsOn }, ...(changesGame ? [{ code: chance.pick(fitting.filter((game) => game !== first)).code, from: someDay() }] : [])],
    move: chance.percent(7) ? { on: someDay(), toSiteCode: chance.pick(siteCodes.filter((other) => other !== code)) } : null,
    shortage: chance.percent(2) ? { from: shortFrom, until: addDays(shortFrom, 60), percent: chance.between(8, 20) } : null,
  };
}

function personName(chance: Chance, wording: Wording, index: number): string {
  return `${wording.firstNames[index % wording.firstNames.length] ?? ''} ${chance.pick(wording.lastNames)}`;
}

function isoDate(year: number, month: number): LocalDate {
  return `${year}-${String(month).padStart(2, '0')}-01` as LocalDate;
}
