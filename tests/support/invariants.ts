import { createHash } from 'node:crypto';
import type { Client } from 'pg';
import { computeSettlement } from '#backoffice/settlement/compute';
import { readInputs } from '#backoffice/settlement/inputs/stored';
import { EMPTY_FRONTIER, append, leafHash, rootOfFrontier, type Frontier } from '#domain/evidence/merkle';
import { sha256 } from '#backoffice/evidence/append';

/** It was not reversed. `alias` names a settlement. */
const stands = (alias: string): string => `NOT EXISTS (SELECT FROM settlement_reversal r WHERE r.tenant_id = ${alias}.tenant_id AND r.settlement_id = ${alias}.id)`;

/** One thing that must hold over all operators of a database at any time. Gives what breaks it, named. */
type Invariant = (client: Client) => Promise<string[]>;

const rowsOf = (text: string): Invariant => async (client) => (await client.query<{ culprit: string }>(text)).rows.map((row) => row.culprit);

const invariants: { readonly [name: string]: Invariant } = {
  'every journal entry balances per currency': rowsOf(
    `SELECT journal_entry_id::text AS culprit FROM journal_posting GROUP BY tenant_id, journal_entry_id, currency HAVING sum(amount_minor) <> 0`,
  ),
  'statement numbers have no gap': rowsOf(
    `SELECT concat(tenant_id, ' ', number_year) AS culprit FROM settlement WHERE number IS NOT NULL
      GROUP BY tenant_id, number_year HAVING count(*) <> max(number_serial) OR min(number_serial) <> 1`,
  ),
  'an issued settlement has one statement, whose digest is that of its bytes': async (client) => {
    const { rows } = await client.query<{ id: string; pdf: Buffer | null; pdf_digest: Buffer | null }>(
      `SELECT s.id, t.pdf, t.pdf_digest FROM settlement s LEFT JOIN statement t ON t.tenant_id = s.tenant_id AND t.settlement_id = s.id WHERE s.state = 'issued'`,
    );
    return rows.filter(({ pdf, pdf_digest }) => pdf === null || !createHash('sha256').update(pdf).digest().equals(pdf_digest ?? Buffer.alloc(0))).map(({ id }) => id);
  },
  'a stored settlement computes again to the same bytes': async (client) => {
    const { rows } = await client.query<{ id: string; inputs: string; result: string }>('SELECT id, inputs, result FROM settlement');
    return rows.filter(({ inputs, result }) => computeSettlement(readInputs(inputs)).resultText !== result).map(({ id }) => id);
  },
  'what was accepted in numbered periods is settled once, late or in time': rowsOf(
    // Refund slips and differences included: net takings of all lines against what was counted and given back.
    `WITH counted AS (
       SELECT c.tenant_id, c.site_id, sum(b.coin_minor + b.note_minor) AS minor
         FROM collection c JOIN box_count b ON b.tenant_id = c.tenant_id AND b.collection_id = c.id
        WHERE c.state = 'accepted' AND NOT EXISTS (SELECT FROM box_count n WHERE n.tenant_id = b.tenant_id AND n.replaces_id = b.id)
          AND EXISTS (SELECT FROM settlement s WHERE s.tenant_id = c.tenant_id AND s.site_id = c.site_id AND s.number IS NOT NULL
                         AND c.accounting_date >= s.starts_on AND c.accounting_date < s.ends_before AND ${stands('s')})
          AND NOT EXISTS (SELECT FROM late_change l WHERE l.tenant_id = c.tenant_id
                             AND NOT EXISTS (SELECT FROM late_change_settled d JOIN settlement s ON s.tenant_id = d.tenant_id AND s.id = d.settlement_id
                                              WHERE d.tenant_id = l.tenant_id AND d.late_change_id = l.id AND ${stands('s')})
                             AND l.period_id IN (SELECT p.id FROM period p WHERE p.tenant_id = c.tenant_id AND p.site_id = c.site_id))
        GROUP BY 1, 2),
     settled AS (
       SELECT s.tenant_id, s.site_id, sum(x.amount_minor) AS minor
         FROM settlement s JOIN settlement_line x ON x.tenant_id = s.tenant_id AND x.settlement_id = s.id AND x.kind = 'cash'
        WHERE s.number IS NOT NULL AND ${stands('s')} GROUP BY 1, 2)
     SELECT concat(counted.site_id, ': counted ', counted.minor, ', settled ', settled.minor) AS culprit
       FROM counted JOIN settled USING (tenant_id, site_id) WHERE counted.minor <> settled.minor`,
  ),
  'a change after issue is settled at most once': rowsOf(
    `SELECT d.late_change_id::text AS culprit FROM late_change_settled d JOIN settlement s ON s.tenant_id = d.tenant_id AND s.id = d.settlement_id
      WHERE ${stands('s')} GROUP BY d.tenant_id, d.late_change_id HAVING count(*) > 1`,
  ),
  'one settlement of a period stands': rowsOf(
    `SELECT concat(s.agreement_id, ' ', s.starts_on) AS culprit FROM settlement s WHERE ${stands('s')} GROUP BY s.tenant_id, s.agreement_id, s.starts_on HAVING count(*) > 1`,
  ),
  'a reversal takes back every posting of its settlement': rowsOf(
    `SELECT r.settlement_id::text AS culprit
       FROM settlement_reversal r
       JOIN journal_entry e ON e.tenant_id = r.tenant_id AND e.source_id IN (r.id, r.settlement_id)
       JOIN journal_posting p ON p.tenant_id = e.tenant_id AND p.journal_entry_id = e.id
      GROUP BY r.tenant_id, r.settlement_id, p.account_code HAVING sum(p.amount_minor) <> 0`,
  ),
  'the books have one settlement of a period at a time, and one made anew no earlier than the one before it is taken back': rowsOf(
    `SELECT s.id::text AS culprit FROM settlement s JOIN settlement_reversal r ON r.tenant_id = s.tenant_id AND r.settlement_id = s.id
       JOIN settlement anew ON anew.tenant_id = s.tenant_id AND anew.agreement_id = s.agreement_id AND anew.number IS NOT NULL AND anew.numbered_at > r.recorded_at AND anew.starts_on >= s.starts_on
      WHERE anew.accounting_date < r.accounting_date`,
  ),
  'at no day do the books have less than nothing open of a party’s advances': rowsOf(
    `SELECT concat(account_code, ' ', accounting_date) AS culprit
       FROM (SELECT p.account_code, e.accounting_date, sum(p.amount_minor) OVER (PARTITION BY p.tenant_id, p.account_code ORDER BY e.accounting_date) AS minor
               FROM journal_posting p JOIN journal_entry e ON e.tenant_id = p.tenant_id AND e.id = p.journal_entry_id
              WHERE p.account_code LIKE 'advance-to-payee:%') x
      WHERE minor < 0`,
  ),
  'a reversed settlement is issued and unpaid, and its reversal is in its history and in the log': rowsOf(
    `SELECT r.settlement_id::text AS culprit FROM settlement_reversal r JOIN settlement s ON s.tenant_id = r.tenant_id AND s.id = r.settlement_id
      WHERE s.state <> 'issued'
         OR EXISTS (SELECT FROM open_item i JOIN payment_match m ON m.tenant_id = i.tenant_id AND m.open_item_id = i.id
                     WHERE i.tenant_id = s.tenant_id AND i.settlement_id = s.id GROUP BY i.id HAVING sum(m.amount_minor) <> 0)
         OR (SELECT count(*) FROM settlement_event v WHERE v.tenant_id = s.tenant_id AND v.settlement_id = s.id AND v.kind = 'reversed') <> 1
         OR (SELECT count(*) FROM evidence_leaf l WHERE l.tenant_id = s.tenant_id AND l.subject_id = s.id AND l.kind = 'settlement-reversed') <> 1`,
  ),
  'the journal holds for each party what is open of its advances': rowsOf(
    `WITH open AS (
       SELECT v.tenant_id, v.party_id,
              v.amount_minor
              - (SELECT coalesce(sum(d.amount_minor), 0) FROM advance_reduction d WHERE d.tenant_id = v.tenant_id AND d.advance_id = v.id)
              - (SELECT coalesce(sum(c.amount_minor), 0) FROM advance_recoup c JOIN settlement s ON s.tenant_id = c.tenant_id AND s.id = c.settlement_id
                  WHERE c.tenant_id = v.tenant_id AND c.advance_id = v.id AND ${stands('s')}) AS minor
         FROM advance v),
     booked AS (
       SELECT tenant_id, split_part(account_code, ':', 2)::uuid AS party_id, sum(amount_minor) AS minor
         FROM journal_posting WHERE account_code LIKE 'advance-to-payee:%' GROUP BY 1, 2)
     SELECT concat(party_id, ': booked ', coalesce(max(booked.minor), 0), ', open ', coalesce(sum(open.minor), 0)) AS culprit
       FROM booked FULL JOIN open USING (tenant_id, party_id)
      GROUP BY tenant_id, party_id HAVING coalesce(max(booked.minor), 0) <> coalesce(sum(open.minor), 0) OR min(open.minor) < 0`,
  ),
  'what waits to be confirmed is what was given, not confirmed and not corrected': rowsOf(
    `WITH told AS (
       SELECT e.tenant_id, e.id AS event_id, s.side, s.holder_id
         FROM custody_event e
         CROSS JOIN LATERAL (VALUES ('giver', coalesce(e.from_person_id, e.from_store_id, e.from_place_id)), ('receiver', coalesce(e.to_person_id, e.to_store_id, e.to_place_id))) AS s (side, holder_id)
        WHERE e.acknowledge_by IS NOT NULL
          AND NOT EXISTS (SELECT FROM custody_acknowledgement a WHERE a.tenant_id = e.tenant_id AND a.event_id = e.id AND a.side = s.side)
          AND EXISTS (SELECT FROM custody_event_copy c WHERE c.tenant_id = e.tenant_id AND c.event_id = e.id
                         AND NOT EXISTS (SELECT FROM custody_event_copy n WHERE n.tenant_id = c.tenant_id AND n.corrects_id = c.event_id AND n.key_copy_id = c.key_copy_id))),
     kept AS (SELECT tenant_id, event_id, side, holder_id FROM custody_confirmation WHERE confirmed_at IS NULL AND superseded_at IS NULL)
     SELECT concat(event_id, ' ', side) AS culprit FROM ((TABLE told EXCEPT TABLE kept) UNION ALL (TABLE kept EXCEPT TABLE told)) AS differing`,
  ),
  'the log adds up to its last head': async (client) => {
    const culprits: string[] = [];
    const { rows: heads } = await client.query<{ tenant_id: string; size: string; root: Buffer }>(
      'SELECT DISTINCT ON (tenant_id) tenant_id, size, root FROM evidence_head ORDER BY tenant_id, size DESC',
    );
    for (const head of heads) {
      const { rows } = await client.query<{ salt: Buffer; entry: Buffer }>('SELECT salt, entry FROM evidence_leaf WHERE tenant_id = $1 ORDER BY leaf_index', [head.tenant_id]);
      const frontier = rows.reduce<Frontier>((grown, { salt, entry }) => append(grown, leafHash(Buffer.concat([salt, entry]), sha256), sha256), EMPTY_FRONTIER);
      if (frontier.size !== Number(head.size) || !head.root.equals(rootOfFrontier(frontier, sha256))) culprits.push(head.tenant_id);
    }
    return culprits;
  },
};

/** Everything that must hold, asked by a superuser over all operators. Gives `name: culprit` for what does not. */
export async function brokenInvariants(client: Client): Promise<string[]> {
  const broken: string[] = [];
  for (const [name, invariant] of Object.entries(invariants)) broken.push(...(await invariant(client)).map((culprit) => `${name}: ${culprit}`));
  return broken;
}
