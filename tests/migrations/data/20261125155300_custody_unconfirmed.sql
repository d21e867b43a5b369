INSERT INTO custody_unconfirmed (tenant_id, event_id) SELECT tenant_id, id FROM custody_event ORDER BY id LIMIT 1;
