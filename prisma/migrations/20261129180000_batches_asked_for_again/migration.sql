-- When a waiting batch was last asked for again: each is judged by itself, so that one that waits for a key or a stamp keeps no other from being found.
ALTER TABLE work_batch ADD COLUMN woken_at timestamptz;
