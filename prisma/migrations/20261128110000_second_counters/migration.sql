-- A mechanical counter beside an electronic one counts the same cash again. It stands beside its first in no sum, and where the
-- two are further apart than the operator said, somebody looks.
ALTER TABLE meter
  ADD COLUMN second_of uuid,
  ADD CONSTRAINT meter_counts_what UNIQUE (tenant_id, id, board_id, tender, currency),
  ADD CONSTRAINT meter_second_once UNIQUE (tenant_id, second_of),
  ADD CONSTRAINT meter_second_of FOREIGN KEY (tenant_id, second_of, board_id, tender, currency) REFERENCES meter (tenant_id, id, board_id, tender, currency),
  ADD CONSTRAINT meter_second_of_another CHECK (second_of IS NULL OR (second_of <> id AND tender IN ('coin', 'note', 'plays')));

-- More than this apart, two counters of one box are followed up; without it they are shown and no more.
ALTER TABLE tolerance_rule_set ADD COLUMN counters_apart_minor bigint CHECK (counters_apart_minor >= 0);

-- What the box should hold by its second counters; null where it has none, or they were not read over the same time.
ALTER TABLE cash_variance
  ADD COLUMN second_expected_minor bigint,
  ADD COLUMN counters_apart_minor bigint CHECK (counters_apart_minor >= 0),
  ADD COLUMN counters_too_far boolean NOT NULL DEFAULT false,
  ADD CONSTRAINT cash_variance_second_whole CHECK ((second_expected_minor IS NULL) = (counters_apart_minor IS NULL) AND (counters_apart_minor IS NOT NULL OR NOT counters_too_far));

ALTER TABLE variance_flag_event
  DROP CONSTRAINT variance_flag_event_reasons_check,
  ADD CONSTRAINT variance_flag_event_reasons_check CHECK (reasons <@ ARRAY['tolerance', 'steady-shortage', 'moving-average', 'always-zero', 'repeating', 'meters-implausible', 'counters-apart']);
