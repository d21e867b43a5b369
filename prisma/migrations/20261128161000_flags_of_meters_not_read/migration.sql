-- A box of which the meters were not read is compared with nothing: at the second time in a row, and at once where a site is
-- paid by the meters, somebody looks.
ALTER TABLE variance_flag_event
  DROP CONSTRAINT variance_flag_event_reasons_check,
  ADD CONSTRAINT variance_flag_event_reasons_check CHECK (reasons <@ ARRAY['tolerance', 'steady-shortage', 'moving-average', 'always-zero', 'repeating', 'meters-implausible', 'counters-apart', 'meters-not-read']);
