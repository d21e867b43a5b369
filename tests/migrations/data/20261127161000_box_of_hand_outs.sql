-- One that says out of which box and in what.
INSERT INTO cash_handed (tenant_id, id, collection_id, site_id, party_id, currency, amount_minor, placement_id, machine_id, coin_minor, recorded_at, recorded_by)
SELECT h.tenant_id, '01890000-0000-7000-8000-000000000955', h.collection_id, h.site_id, h.party_id, h.currency, 500, p.id, p.machine_id, 200, '2026-01-06', 'system:test'
  FROM cash_handed h JOIN placement p ON p.tenant_id = h.tenant_id AND p.site_id = h.site_id WHERE h.tenant_id = app.current_tenant() ORDER BY h.id, p.id LIMIT 1;
