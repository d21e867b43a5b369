-- How far from a whole number of pieces a weight may lie: a quarter of a piece until an owner decides otherwise.
ALTER TABLE policy
  ADD COLUMN weigh_within_percent smallint NOT NULL DEFAULT 25,
  ADD CONSTRAINT policy_weigh_within_percent_check CHECK (weigh_within_percent BETWEEN 5 AND 40);
