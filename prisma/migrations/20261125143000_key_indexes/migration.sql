-- What somebody holds now, and what was not over with them at a past moment. The other questions go from a copy to its
-- rows (custody_by_copy), which costs the same however much came before.
--
-- Under row security an index serves only comparisons that cannot give away other rows. PostgreSQL knows that of
-- equality, of the order of instants and of CASE; not of ranges, and not of COALESCE, which would say the same shorter.
CREATE INDEX custody_of_holder_now ON custody
  (tenant_id, (CASE WHEN person_id IS NOT NULL THEN person_id WHEN store_id IS NOT NULL THEN store_id ELSE place_id END))
  WHERE held_to IS NULL AND known_to IS NULL;

CREATE INDEX custody_of_holder_over_time ON custody USING gist
  (tenant_id, (CASE WHEN person_id IS NOT NULL THEN person_id WHEN store_id IS NOT NULL THEN store_id ELSE place_id END),
   held_from, (CASE WHEN held_to IS NULL THEN 'infinity'::timestamptz ELSE held_to END))
  WHERE known_to IS NULL;

-- Copies of a code by number, as lists show them: sorted by the index, a page reads a page.
CREATE INDEX key_copy_of_code_by_number ON key_copy (tenant_id, key_code_id, number);
