import type { StoredLeaf, LogFinding } from './verify-log';
import { listTenantIds, withTenant, type Database } from '#database/tenant';
import type { TreeHead } from '#domain/evidence/merkle';
import { compareCustody, type CustodyFinding } from '../custody/compare-log';
import { compareErasures, erasuresByText, loggedErasure, type ErasureFinding, type LoggedErasure } from '../erasure/compare-log';
import { sha256 } from './append';
import { compareSettlements, type SettlementFinding } from './compare-settlements';
import { readLogSize, streamHeads, streamLeaves } from './read.sql';
import { checkStoredStamps, type CheckedStamps } from './stamp-heads';
import { verifyLog } from './verify-log';
import type { TimestampTrust } from '#statement/sign/timestamp';

/** What a statement that somebody holds says of the log and of itself. */
export type HeldStatement = { readonly statementNumber: string; readonly settlementDigest: string; readonly fileDigest: string };

export type VerifiedLog = {
  readonly finding: LogFinding;
  /** Entries that speak of the held statement, counted from 0: its number, and its file. Undefined where there is none. */
  readonly numberedAt: number | undefined;
  readonly issuedAt: number | undefined;
  /** Whether the books of custody are what the log holds of them; asked only of a log that fits. */
  readonly custody: CustodyFinding;
  /** Whether erased texts are what the log holds of their erasing, and how many there are. */
  readonly erasures: ErasureFinding;
  /** The same of settlements, statements, reversals and revoked certificates. */
  readonly settlements: SettlementFinding;
  /** Stamps of heads by a time-stamp authority. Those that hold are heads from outside, too. */
  readonly stamps: CheckedStamps;
};

/** Recomputes one operator's whole log from the database and compares it with heads from outside, and the books of custody and the settlements with the log. */
export async function verifyStoredLog(
  database: Database,
  command: { readonly tenantId: string; readonly heldHeads: readonly TreeHead[]; readonly statement: HeldStatement | undefined; readonly trust: TimestampTrust },
): Promise<VerifiedLog> {
  const { tenantId, statement, trust } = command;
  const stamps = await checkStoredStamps(database, { tenantId, trust });
  const heldHeads = [...command.heldHeads, ...stamps.heads];
  return withTenant(database, { tenantId, kind: 'system', id: 'verify-log' }, async (tx) => {
    const size = await readLogSize(tx);
    const seen = { numberedAt: undefined as number | undefined, issuedAt: undefined as number | undefined };
    const erased: LoggedErasure[] = [];
    async function* watched(leaves: AsyncIterable<StoredLeaf>): AsyncGenerator<StoredLeaf> {
      for await (const leaf of leaves) {
        if (leaf.kind === 'text-erased') erased.push(loggedErasure(leaf));
        const entry = statement === undefined ? undefined : entryOf(leaf);
        if (entry?.['statementNumber'] === statement?.statementNumber && entry !== undefined) {
          if (entry['settlementDigest'] === statement?.settlementDigest) seen.numberedAt = leaf.index;
          if (entry['signedDigest'] === statement?.fileDigest) seen.issuedAt = leaf.index;
        }
        yield leaf;
      }
    }
    const finding = await verifyLog({ leaves: watched(streamLeaves(tx, size)), storedHeads: streamHeads(tx, size), heldHeads }, sha256);
    // Entries that were tampered with say nothing about the tables.
    const custody: CustodyFinding = finding.kind === 'fits' ? await compareCustody(tx, { below: size, erased: erasuresByText(erased) }) : { kind: 'fits' };
    const erasures: ErasureFinding = finding.kind === 'fits' ? await compareErasures(tx, erasuresByText(erased)) : { kind: 'fits', texts: 0, people: 0, entries: [] };
    const settlements: SettlementFinding = finding.kind === 'fits' ? await compareSettlements(tx, { below: size, erased: erasuresByText(erased) }) : { kind: 'fits' };
    return { finding, ...seen, custody, erasures, settlements, stamps };
  });
}

/** The operator with this code, in upper or lower case. */
export async function findOperatorByCode(database: Database, code: string): Promise<{ tenantId: string; name: string } | undefined> {
  for (const tenantId of await listTenantIds(database)) {
    const { rows } = await withTenant(database, { tenantId, kind: 'system', id: 'verify-log' }, (tx) =>
      tx.sql<{ code: string; name: string }>('SELECT code, name FROM operator'),
    );
    const [operator] = rows;
    if (operator !== undefined && operator.code === code.toLowerCase()) return { tenantId, name: operator.name };
  }
  return undefined;
}

/** Nothing of it is believed: an entry that is no JSON is one that speaks of nothing. */
function entryOf(leaf: StoredLeaf): Record<string, unknown> | undefined {
  try {
    const entry: unknown = JSON.parse(new TextDecoder().decode(leaf.entry));
    return typeof entry === 'object' && entry !== null ? (entry as Record<string, unknown>) : undefined;
  } catch {
    return undefined;
  }
}
