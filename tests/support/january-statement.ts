import { canonicalBytes, type CanonicalValue } from '#domain/evidence/canonical-json';
import { encodeInputs, encodeResult } from '#contracts/settlement-document';
import { leafHash, rootOfLeafHashes } from '#domain/evidence/merkle';
import { consistencyProof } from '#domain/evidence/proof';
import { localDate } from '#domain/calendar/local-date';
import { settle } from '#domain/settlement/settle';
import { attachedJson } from '#statement/attached-figures';
import { statementFromSettlement } from '#statement/from-settlement';
import type { EarlierHead, StatementFacts } from '#statement/settlement-mapping';
import { STAMPED_SIGNATURE_ROOM_BYTES } from '#statement/sign/signature-field';
import { sha256Hex } from '#statement/sign/sign-pdf';
import type { Signer } from '#statement/sign/signer';
import { renderStatement } from '#statement/statement';
import { charge, count, inputs, insideRule, machine, operator, period, shares, site, slip, version } from '#tests/support/settlement-inputs';
import { operatorSigner, signed } from '#tests/support/signed-pdf';

/** The hashes of the entries of a log. */
export const leaves = Array.from({ length: 23 }, (_, index) => leafHash(Buffer.from(`entry ${index}`)));
export const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex');
export const headAt = (size: number) => ({ size, root: hex(rootOfLeafHashes(leaves.slice(0, size))) });

export const january = inputs(
  period('2026-01-01', '2026-02-01', {
    versions: [version('2020-01-01', { charges: [charge()], split: { kind: 'shares', shares: shares([operator, '60'], [site, '40']) } })],
    machines: [machine('A'), machine('B')],
    counts: [count('A', '2026-01-15', 61_000n, { noteMinor: 2_000n }), count('B', '2026-01-29', 40_000n)],
    refundSlips: [slip('A', '2026-01-15', 500n)],
    taxRules: [insideRule(['4', '0.5'])],
  }),
);

let usual: Promise<Signer> | undefined;
/** Who signs unless somebody else is named: the same in one file of tests. */
export function usualSigner(): Promise<Signer> {
  usual ??= operatorSigner();
  return usual;
}

export type Given = { by?: Signer; number?: string; size?: number; earlierHead?: EarlierHead; change?: (settlement: Record<string, CanonicalValue>) => CanonicalValue; facts?: Partial<StatementFacts>; pageVersion?: number; format?: number; attachedPage?: Record<string, CanonicalValue>; attachedFrom?: Buffer; stampSignature?: Parameters<typeof signed>[2] };

/** A signed statement; `change` is what a cheating operator does to the settlement before signing. */
export async function statementOf({ by, number = 'T-2026-000001', size = 9, earlierHead, change = (same) => same, facts = {}, pageVersion, format, attachedPage = {}, attachedFrom, stampSignature }: Given): Promise<Buffer> {
  const result = settle(january, { explain: false });
  const settlement = change({ format: 1, settlementId: 'settlement', number, issuedOn: '2026-02-02', inputs: encodeInputs(january), result: encodeResult(result) });
  const head = headAt(size);
  const document = statementFromSettlement({ inputs: january, result }, {
    operator: { name: 'Harbour Lane Amusements', addressLines: ['14 Cooper Street'], registration: '600-123' },
    site: { name: 'The Copper Kettle', addressLines: [], code: 'KETTLE' },
    payee: { name: 'Žižkov Hospitality', addressLines: [], partyId: site },
    partyNames: new Map([[operator, 'Harbour Lane Amusements'], [site, 'Žižkov Hospitality']]),
    games: new Map([['m-A', 'Comet Courier']]),
    statementNumber: number,
    issuedOn: localDate('2026-02-02'),
    issuedAt: '2026-02-02T10:00:00Z',
    locale: 'en-GB',
    paper: 'A4',
    earlierStatements: new Map(),
    carriedFrom: new Map(),
    evidence: { headSize: head.size, headRoot: head.root, settlementDigest: sha256Hex(canonicalBytes(settlement)) },
    settlement,
    ...(earlierHead === undefined ? {} : { earlierHead }),
    ...facts,
  });
  const page = { ...(document.attached?.page as Record<string, CanonicalValue>), ...attachedPage, ...(pageVersion === undefined ? {} : { version: pageVersion }) };
  const swapped = attachedFrom === undefined ? undefined : ((await attachedJson(attachedFrom)) as NonNullable<typeof document.attached>);
  const attached = document.attached === undefined ? {} : { attached: swapped ?? { ...document.attached, page, ...(format === undefined ? {} : { format }) } };
  const room = stampSignature === undefined && facts.isStamped === undefined ? {} : { signatureRoomBytes: STAMPED_SIGNATURE_ROOM_BYTES };
  return (await signed((await renderStatement({ ...document, ...attached }, room)).unsignedPdf, by ?? (await usualSigner()), stampSignature)).signedPdf;
}

export const earlierHeadAt = (older: number, newer: number, statementNumber: string): EarlierHead => ({
  statementNumber,
  ...headAt(older),
  proof: (consistencyProof({ olderSize: older, leafHashes: leaves.slice(0, newer) }) ?? []).map(hex),
});

