/**
 * Whether an outage `o` is the word of somebody who had a hand in one of some collections, and nobody confirmed it. `collectionIds`: a query of their ids, which is joined: as a condition it would be asked of every collection. Theirs it is where
 * they recorded it, ended it or told of it, in person or by a token of their own; a hand had who collected there, held the key, or entered the visit, its counts or its readings. Who emptied a box must not be
 * the only one who explains what it lacked. Common practice, no source.
 */
export const isOwnWord = (collectionIds: string): string => `(o.confirmed_at IS NULL AND EXISTS (
       SELECT FROM (SELECT who.behind, coalesce(who.person_id, m.person_id) AS person_id, ARRAY(SELECT who.behind UNION SELECT 'token:' || t.id FROM identity.api_tokens() t WHERE t.created_by = who.behind) AS actors
                      FROM (SELECT coalesce((SELECT t.created_by FROM identity.api_tokens() t WHERE 'token:' || t.id = said.actor), said.actor) AS behind, NULL::uuid AS person_id
                              FROM unnest(ARRAY[o.recorded_by, o.ended_by]) said (actor) WHERE said.actor IS NOT NULL
                            UNION ALL
                            SELECT 'user:' || told.account_id, o.reported_by FROM (SELECT) one LEFT JOIN identity.members() told ON told.person_id = o.reported_by WHERE o.reported_by IS NOT NULL) who
                      LEFT JOIN identity.members() m ON 'user:' || m.account_id = who.behind) reporter
         CROSS JOIN (${collectionIds}) counted (id)
         JOIN collection hand ON hand.tenant_id = $1 AND hand.id = counted.id
        WHERE hand.recorded_by = ANY (reporter.actors) OR hand.collected_by = reporter.person_id
           OR EXISTS (SELECT FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = hand.id AND b.machine_id = o.machine_id AND b.recorded_by = ANY (reporter.actors))
           OR EXISTS (SELECT FROM field_count f WHERE f.tenant_id = $1 AND f.collection_id = hand.id AND (f.recorded_by = ANY (reporter.actors) OR f.counted_by = reporter.person_id))
           OR EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.collection_id = hand.id AND (r.recorded_by = ANY (reporter.actors) OR r.read_by = reporter.person_id))
           OR EXISTS (SELECT FROM collection_key_holder k WHERE k.tenant_id = $1 AND k.collection_id = hand.id AND k.person_id = reporter.person_id)))`;
