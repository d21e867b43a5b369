-- Settlement 42 is reversed, so the change that it took in is free again.
INSERT INTO late_change_settled (tenant_id, late_change_id, round, settlement_id) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000044', 2, '01890000-0000-7000-8000-000000000042');
