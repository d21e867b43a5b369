-- A case is closed with every old copy called in, or with somebody's word for each that is not: `copy-left-out`.
ALTER TABLE key_case_step DROP CONSTRAINT key_case_step_kind_check;
ALTER TABLE key_case_step ADD CONSTRAINT key_case_step_kind_check
  CHECK (kind IN ('new-code', 'box-emptied', 'second-lock', 'lock-changed', 'lock-removed', 'copy-given', 'copy-called-in', 'copy-left-out'));
ALTER TABLE key_case_step DROP CONSTRAINT key_case_step_is_about;
ALTER TABLE key_case_step ADD CONSTRAINT key_case_step_is_about CHECK (CASE
  WHEN kind = 'new-code' THEN num_nonnulls(machine_lock_id, key_copy_id) = 0
  WHEN kind IN ('copy-given', 'copy-called-in', 'copy-left-out') THEN machine_lock_id IS NULL AND key_copy_id IS NOT NULL
  ELSE machine_lock_id IS NOT NULL AND key_copy_id IS NULL END);
