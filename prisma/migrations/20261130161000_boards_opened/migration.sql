-- A board that was opened or cleared while nobody read its meters. What it was set back by is not known until the readings before and after are entered.
CREATE TABLE board_opening (
  tenant_id          uuid NOT NULL REFERENCES operator (tenant_id),
  id                 uuid NOT NULL,
  board_id           uuid NOT NULL,
  machine_id         uuid NOT NULL,
  opened_at          timestamptz NOT NULL,
  -- Who opened it, where somebody knows.
  opened_by          uuid,
  why                text NOT NULL CHECK (why IN ('display-dark', 'machine-off', 'meter-broken', 'not-reached', 'other')),
  note               text NOT NULL DEFAULT '',
  recorded_at        timestamptz NOT NULL,
  recorded_by        text NOT NULL,
  taken_back_at      timestamptz,
  taken_back_by      text,
  taken_back_because text,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT board_opening_board FOREIGN KEY (tenant_id, board_id, machine_id) REFERENCES counter_board (tenant_id, id, machine_id),
  CONSTRAINT board_opening_person FOREIGN KEY (tenant_id, opened_by) REFERENCES person (tenant_id, id),
  CONSTRAINT board_opening_says_what CHECK (why <> 'other' OR note <> ''),
  CONSTRAINT board_opening_taken_back_whole CHECK (num_nulls(taken_back_at, taken_back_by, taken_back_because) IN (0, 3))
);
CREATE UNIQUE INDEX board_opening_once ON board_opening (tenant_id, board_id, opened_at) WHERE taken_back_at IS NULL;
CALL app.make_tenant_table('board_opening', append_only => false, audited => true);
REVOKE DELETE ON board_opening FROM latchledger_app;
CALL app.make_texts_erasable('board_opening', '{note,taken_back_because}');

ALTER TABLE cash_variance
  DROP CONSTRAINT cash_variance_unknown_check,
  ADD CONSTRAINT cash_variance_unknown_check CHECK (unknown <@ ARRAY['not-read', 'first-reading', 'reset-or-wrong', 'above-ceiling', 'price-unread', 'board-unread', 'count-waits']);
