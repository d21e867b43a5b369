-- Cash that was handed over came out of one box, or of several, in coins or in notes. Where the receipt says so nobody has to guess
-- it, and a shortage of coins stays one of coins.
ALTER TABLE cash_handed
  ADD COLUMN placement_id uuid,
  ADD COLUMN machine_id uuid,
  ADD COLUMN coin_minor bigint,
  ADD CONSTRAINT cash_handed_box_whole CHECK ((placement_id IS NULL) = (machine_id IS NULL)),
  ADD CONSTRAINT cash_handed_coin_part CHECK (coin_minor BETWEEN 0 AND amount_minor),
  ADD CONSTRAINT cash_handed_box FOREIGN KEY (tenant_id, placement_id, machine_id, site_id) REFERENCES placement (tenant_id, id, machine_id, site_id);
