-- Where a meter could have passed all its values between two readings, a box that holds about so much more than it tells is asked about.
ALTER TABLE variance_flag_event
  DROP CONSTRAINT variance_flag_event_reasons_check,
  ADD CONSTRAINT variance_flag_event_reasons_check CHECK (reasons <@ ARRAY['tolerance', 'steady-shortage', 'moving-average', 'always-zero', 'repeating', 'meters-implausible', 'counters-apart', 'meters-not-read', 'round-unseen']);
