-- What the owner decided about the rules that may be relaxed, dated. Without a row the strict side of each holds.
CREATE TABLE policy (
  tenant_id               uuid NOT NULL REFERENCES operator (tenant_id),
  id                      uuid NOT NULL,
  effective_from          timestamptz NOT NULL,
  direct_hand_over        boolean NOT NULL,
  acknowledge_within_hours integer NOT NULL CHECK (acknowledge_within_hours BETWEEN 1 AND 720),
  inventory_every_months  smallint NOT NULL CHECK (inventory_every_months IN (1, 3, 6)),
  custodian_apart         boolean NOT NULL,
  one_person_review_on    date,
  reason                  text NOT NULL CHECK (reason <> ''),
  recorded_at             timestamptz NOT NULL,
  recorded_by             text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  -- Nothing is allowed backwards.
  CONSTRAINT policy_not_backwards CHECK (effective_from >= recorded_at)
);
CREATE INDEX policy_by_time ON policy (tenant_id, effective_from, recorded_at);

-- Records that a rule would have refused, had the policy of that time not relaxed it: with the rule, so that what one person
-- made alone is told from the rest.
CREATE TABLE relaxed_record (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  record_id   uuid NOT NULL,
  rule        text NOT NULL CHECK (rule IN ('second-person', 'custodian-apart', 'back-to-custodian')),
  kind        text NOT NULL CHECK (kind IN ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in')),
  recorded_at timestamptz NOT NULL,
  recorded_by text NOT NULL,
  PRIMARY KEY (tenant_id, record_id, rule),
  CONSTRAINT relaxed_record_rule_of_kind CHECK (CASE rule WHEN 'custodian-apart' THEN kind = 'custodian' WHEN 'back-to-custodian' THEN kind = 'custody-event' ELSE kind <> 'custodian' END)
);
CREATE INDEX relaxed_record_by_time ON relaxed_record (tenant_id, recorded_at, record_id, rule);

CALL app.make_tenant_table('policy', append_only => true, audited => true);
CALL app.make_tenant_table('relaxed_record', append_only => true, audited => false);
