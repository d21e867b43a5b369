/** What a statement's page is made of beside the settlement: written into the file, and read back where it is checked. */
import { STAMPED_ATTACHMENT_FORMAT, type StatementAttachment, type StatementPage } from '#contracts/statement-attachment';
import type { CanonicalValue } from '#domain/evidence/canonical-json';
import type { AttachedParts, RecentPeriod, StatementParty } from '#statement/document';
import type { MeterReadings, StatementFacts } from '#statement/settlement-mapping';

/**
 * By which setting of the page a statement is made. Whoever changes what the page of a stored settlement looks like, be it
 * by another version of a library, raises it: statements of before are then set anew by the verifier of before, or by this one as
 * far as it still can.
 */
export const PAGE_VERSION = 4;

/**
 * Settings that are still set. Before 4 a page did not say of a balance that the payee owes it, nor of which lines the takings of a pool
 * are, nor that shares go by bands; 2 is as 3, but says no more than the cautions that are attached.
 */
const SET_VERSIONS: ReadonlySet<number> = new Set([2, 3, PAGE_VERSION]);
/** From here on cautions follow from the settlement. */
const FIRST_WITH_CAUTIONS = 3;

export function canBeSet(version: number): boolean {
  return SET_VERSIONS.has(version);
}

/** Nothing where there is no settlement to attach. */
export function attachedParts(facts: StatementFacts, cautions: readonly string[]): { attached?: AttachedParts } {
  if (facts.settlement === undefined) return {};
  const { earlierHead } = facts;
  return {
    attached: {
      settlement: facts.settlement,
      page: pageOf(facts, cautions),
      earlierHead: earlierHead === undefined ? null : { ...earlierHead, proof: [...earlierHead.proof] },
      ...(facts.isStamped === undefined ? {} : { format: facts.stampedFormat ?? STAMPED_ATTACHMENT_FORMAT, isStamped: facts.isStamped }),
    },
  };
}

function pageOf(facts: StatementFacts, cautions: readonly string[]): { [name: string]: CanonicalValue } {
  return {
    version: facts.earlierSetting?.version ?? PAGE_VERSION,
    operator: partyOf(facts.operator),
    site: { ...partyOf(facts.site), code: facts.site.code },
    payee: { ...partyOf(facts.payee), partyId: facts.payee.partyId },
    partyNames: Object.fromEntries(facts.partyNames),
    games: Object.fromEntries(facts.games),
    issuedAt: facts.issuedAt,
    locale: facts.locale,
    paper: facts.paper,
    earlierStatements: Object.fromEntries([...facts.earlierStatements].map(([id, { statementNumber, reason }]) => [id, { statementNumber, reason }])),
    carriedFrom: Object.fromEntries(facts.carriedFrom),
    ...(facts.payment === undefined ? {} : { payment: facts.payment }),
    cautions: [...cautions],
    ...(facts.notRead === undefined ? {} : { notRead: [...facts.notRead].sort() }),
    ...(facts.readings === undefined ? {} : { readings: facts.readings.map(attachedReadings) }),
    ...(facts.recent === undefined ? {} : { recent: facts.recent.map(attachedPeriod) }),
    ...(facts.verificationAddress === undefined ? {} : { verificationAddress: facts.verificationAddress }),
    ...(facts.standing === undefined ? {} : { standing: { ...facts.standing } }),
  };
}

function attachedReadings({ machineId, meter, beforeValue, lastValue, readOn }: MeterReadings): CanonicalValue {
  return { machineId, meter, ...(beforeValue === undefined ? {} : { beforeValue: String(beforeValue) }), lastValue: String(lastValue), readOn };
}

function attachedPeriod({ firstDay, lastDay, takingsMinor, payableMinor }: RecentPeriod): CanonicalValue {
  return { firstDay, lastDay, takingsMinor: String(takingsMinor), payableMinor: String(payableMinor) };
}

function partyOf({ name, addressLines, registration }: StatementParty): { [name: string]: CanonicalValue } {
  return { name, addressLines: [...addressLines], ...(registration === undefined ? {} : { registration }) };
}

/** The facts from which the page was made. `raw` is the attachment as it was parsed, so that nothing is encoded twice. */
export function factsOfAttachment(attachment: StatementAttachment, raw: { readonly settlement: CanonicalValue }): StatementFacts {
  const { page, evidenceHead, earlierHead } = attachment;
  return {
    ...factsOfPage(page),
    statementNumber: attachment.statementNumber,
    issuedOn: attachment.settlement.issuedOn,
    evidence: { headSize: evidenceHead.size, headRoot: evidenceHead.root, settlementDigest: attachment.settlementDigest },
    settlement: raw.settlement,
    ...(earlierHead === null ? {} : { earlierHead }),
    ...(attachment.isStamped === undefined ? {} : { isStamped: attachment.isStamped, stampedFormat: attachment.format }),
  };
}

function factsOfPage(page: StatementPage): Omit<StatementFacts, 'statementNumber' | 'issuedOn' | 'evidence'> {
  return {
    operator: page.operator,
    site: page.site,
    payee: page.payee,
    partyNames: new Map(Object.entries(page.partyNames)),
    games: new Map(Object.entries(page.games)),
    issuedAt: page.issuedAt,
    locale: page.locale,
    paper: page.paper,
    earlierStatements: new Map(Object.entries(page.earlierStatements)),
    carriedFrom: new Map(Object.entries(page.carriedFrom)),
    ...(page.payment === undefined ? {} : { payment: page.payment }),
    ...(page.version === PAGE_VERSION ? {} : { earlierSetting: { version: page.version, ...(page.version < FIRST_WITH_CAUTIONS ? { cautions: page.cautions } : {}) } }),
    ...(page.notRead === undefined ? {} : { notRead: new Set(page.notRead) }),
    ...(page.readings === undefined ? {} : { readings: page.readings }),
    ...(page.recent === undefined ? {} : { recent: page.recent }),
    ...(page.verificationAddress === undefined ? {} : { verificationAddress: page.verificationAddress }),
    ...(page.standing === undefined ? {} : { standing: page.standing }),
  };
}
