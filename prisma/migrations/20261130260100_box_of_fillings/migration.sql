-- A change fund of one machine may be filled out of the box of another one: whose box it came out of is noted, as with cash that was
-- handed over. Charged to the machine of the fund, one box would be over by what the other one lacks.
ALTER TABLE cash_move ADD COLUMN out_of_machine_id uuid;
COMMENT ON COLUMN cash_move.out_of_machine_id IS 'Of a filling out of boxes: whose box; null where it came out of several, or nobody noted it.';
ALTER TABLE cash_move DISABLE TRIGGER refuse_change;
CALL app.for_each_tenant($$
  UPDATE cash_move m SET out_of_machine_id = f.machine_id FROM change_fund f
   WHERE m.tenant_id = app.current_tenant() AND f.tenant_id = m.tenant_id AND f.id = m.fund_id AND m.collection_id IS NOT NULL AND f.machine_id IS NOT NULL$$);
ALTER TABLE cash_move ENABLE ALWAYS TRIGGER refuse_change;
ALTER TABLE cash_move
  ADD CONSTRAINT cash_move_out_of_box CHECK (out_of_machine_id IS NULL OR collection_id IS NOT NULL),
  ADD CONSTRAINT cash_move_out_of_machine FOREIGN KEY (tenant_id, out_of_machine_id) REFERENCES machine (tenant_id, id);
