-- Of every stay of before this version it is told whether a cash-box key was at a site, and of no other.
DO $$ BEGIN
  ASSERT (SELECT count(*) FROM custody c JOIN key_copy k ON k.tenant_id = c.tenant_id AND k.id = c.key_copy_id LEFT JOIN person p ON p.tenant_id = c.tenant_id AND p.id = c.person_id
           WHERE c.cash_box_at_site IS DISTINCT FROM (k.class = 'cash-box' AND (c.place_id IS NOT NULL OR p.site_id IS NOT NULL))) = 0;
  ASSERT (SELECT count(*) FROM custody) > 0;
END $$;
