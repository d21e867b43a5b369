INSERT INTO custody_denial (tenant_id, event_id, side, person_id, denied_at)
SELECT e.tenant_id, e.id, 'receiver', p.id, e.recorded_at FROM custody_event e JOIN person p ON p.tenant_id = e.tenant_id WHERE e.tenant_id = app.current_tenant() ORDER BY e.id, p.id LIMIT 1;
