INSERT INTO uncounted_removal_override (tenant_id, settlement_id, placement_id, event_id)
SELECT e.tenant_id, e.settlement_id, p.id, e.id FROM settlement_event e JOIN placement p ON p.tenant_id = e.tenant_id WHERE e.tenant_id = app.current_tenant() ORDER BY e.id, p.id LIMIT 1;
