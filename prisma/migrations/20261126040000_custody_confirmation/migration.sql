-- For each side of what was given: since when it waits to be confirmed, and when it was. What waits now, and what waited at any
-- moment, is found here without reading what was confirmed long ago. Kept by the tables that it follows from.
CREATE TABLE custody_confirmation (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  event_id      uuid NOT NULL,
  side          text NOT NULL CHECK (side IN ('giver', 'receiver')),
  -- The person, store or place whose word is asked for.
  holder_id     uuid NOT NULL,
  happened_at   timestamptz NOT NULL,
  recorded_at   timestamptz NOT NULL,
  confirmed_at  timestamptz,
  -- When a correction took the place of the event for the last of its copies: from then on nobody is asked.
  superseded_at timestamptz,
  PRIMARY KEY (tenant_id, event_id, side),
  CONSTRAINT custody_confirmation_event FOREIGN KEY (tenant_id, event_id) REFERENCES custody_event (tenant_id, id),
  CONSTRAINT custody_confirmation_times CHECK (happened_at <= recorded_at AND confirmed_at >= recorded_at AND superseded_at >= recorded_at)
);
CALL app.make_tenant_table('custody_confirmation', append_only => false, audited => false);
REVOKE DELETE ON custody_confirmation FROM latchledger_app;

CALL app.for_each_tenant($$
  INSERT INTO custody_confirmation (tenant_id, event_id, side, holder_id, happened_at, recorded_at, confirmed_at, superseded_at)
  SELECT e.tenant_id, e.id, s.side, s.holder_id, e.happened_at, e.recorded_at, greatest(a.acknowledged_at, e.recorded_at), newer.superseded_at
    FROM custody_event e
    CROSS JOIN LATERAL (VALUES ('giver', coalesce(e.from_person_id, e.from_store_id, e.from_place_id)),
                               ('receiver', coalesce(e.to_person_id, e.to_store_id, e.to_place_id))) AS s (side, holder_id)
    LEFT JOIN custody_acknowledgement a ON a.tenant_id = e.tenant_id AND a.event_id = e.id AND a.side = s.side
    LEFT JOIN LATERAL (
      SELECT CASE WHEN bool_and(correction.id IS NOT NULL) THEN max(correction.recorded_at) END AS superseded_at
        FROM custody_event_copy c
        LEFT JOIN custody_event_copy n ON n.tenant_id = c.tenant_id AND n.corrects_id = c.event_id AND n.key_copy_id = c.key_copy_id
        LEFT JOIN custody_event correction ON correction.tenant_id = n.tenant_id AND correction.id = n.event_id
       WHERE c.tenant_id = e.tenant_id AND c.event_id = e.id) newer ON true
   WHERE e.tenant_id = app.current_tenant() AND e.acknowledge_by IS NOT NULL$$);

CREATE INDEX custody_confirmation_of_holder ON custody_confirmation (tenant_id, holder_id) WHERE confirmed_at IS NULL AND superseded_at IS NULL;
CREATE INDEX custody_confirmation_open ON custody_confirmation (tenant_id, side) WHERE confirmed_at IS NULL AND superseded_at IS NULL;
-- Plain instants, no range: under row security an index serves only comparisons that cannot give away other rows.
CREATE INDEX custody_confirmation_over_time ON custody_confirmation USING gist
  (tenant_id, side, happened_at, recorded_at, (CASE WHEN confirmed_at IS NULL THEN 'infinity'::timestamptz ELSE confirmed_at END));

DROP TRIGGER await_confirmation ON custody_event;
DROP TRIGGER end_confirmation ON custody_acknowledgement;
CREATE OR REPLACE FUNCTION app.await_confirmation() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  INSERT INTO custody_confirmation (tenant_id, event_id, side, holder_id, happened_at, recorded_at) VALUES
    (NEW.tenant_id, NEW.id, 'giver', coalesce(NEW.from_person_id, NEW.from_store_id, NEW.from_place_id), NEW.happened_at, NEW.recorded_at),
    (NEW.tenant_id, NEW.id, 'receiver', coalesce(NEW.to_person_id, NEW.to_store_id, NEW.to_place_id), NEW.happened_at, NEW.recorded_at);
  RETURN NULL;
END $$;
CREATE TRIGGER await_confirmation AFTER INSERT ON custody_event
  FOR EACH ROW WHEN (NEW.acknowledge_by IS NOT NULL) EXECUTE FUNCTION app.await_confirmation();

CREATE OR REPLACE FUNCTION app.end_confirmation() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  UPDATE custody_confirmation c SET confirmed_at = greatest(NEW.acknowledged_at, c.recorded_at)
   WHERE c.tenant_id = NEW.tenant_id AND c.event_id = NEW.event_id AND c.side = NEW.side;
  RETURN NULL;
END $$;
CREATE TRIGGER end_confirmation AFTER INSERT ON custody_acknowledgement
  FOR EACH ROW EXECUTE FUNCTION app.end_confirmation();

CREATE FUNCTION app.supersede_confirmation() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  UPDATE custody_confirmation c SET superseded_at = correction.recorded_at
    FROM custody_event correction
   WHERE c.tenant_id = NEW.tenant_id AND c.event_id = NEW.corrects_id AND c.superseded_at IS NULL
     AND correction.tenant_id = NEW.tenant_id AND correction.id = NEW.event_id
     AND NOT EXISTS (SELECT FROM custody_event_copy ec
                      WHERE ec.tenant_id = NEW.tenant_id AND ec.event_id = NEW.corrects_id
                        AND NOT EXISTS (SELECT FROM custody_event_copy n
                                         WHERE n.tenant_id = NEW.tenant_id AND n.corrects_id = ec.event_id AND n.key_copy_id = ec.key_copy_id));
  RETURN NULL;
END $$;
CREATE TRIGGER supersede_confirmation AFTER INSERT ON custody_event_copy
  FOR EACH ROW WHEN (NEW.corrects_id IS NOT NULL) EXECUTE FUNCTION app.supersede_confirmation();

DROP TABLE custody_unconfirmed;
DROP INDEX custody_event_to_acknowledge;
