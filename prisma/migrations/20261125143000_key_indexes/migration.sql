-- What somebody holds now, and what is not over with them at any past moment. The other questions go from a copy to its
-- rows (custody_by_copy), which costs the same however much came before.
CREATE INDEX custody_of_holder_now ON custody (tenant_id, (coalesce(person_id, store_id, place_id))) WHERE held_to IS NULL AND known_to IS NULL;

-- Beginnings and ends as instants and not as a range: under row security an index serves only comparisons that cannot give
-- away other rows, which PostgreSQL says of those of instants and not of ranges.
CREATE INDEX custody_of_holder_over_time ON custody USING gist
  (tenant_id, (coalesce(person_id, store_id, place_id)), held_from, (coalesce(held_to, 'infinity'::timestamptz))) WHERE known_to IS NULL;
