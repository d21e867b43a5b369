-- Questions about settlements are looked for over all of them, and are few.
CREATE INDEX settlement_event_questioned ON settlement_event (tenant_id, settlement_id) WHERE kind = 'questioned';
