-- The other side said so as well, by a link.
INSERT INTO custody_denial (tenant_id, event_id, side, person_id, how, denied_at)
SELECT tenant_id, event_id, 'giver', person_id, 'link', denied_at FROM custody_denial WHERE tenant_id = app.current_tenant() AND side = 'receiver';
