INSERT INTO custody_confirmation (tenant_id, event_id, side, holder_id, happened_at, recorded_at)
SELECT tenant_id, id, 'receiver', to_store_id, happened_at, recorded_at FROM custody_event ORDER BY id LIMIT 1;
