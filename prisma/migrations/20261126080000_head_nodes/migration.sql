-- With the edge of the tree beside each head, a proof that the log extends it needs only the leaves that came after. Heads
-- of before have none: the leaves up to them are read instead.
ALTER TABLE evidence_head ADD COLUMN nodes bytea[] NOT NULL DEFAULT '{}' CHECK (cardinality(nodes) <= 62);
