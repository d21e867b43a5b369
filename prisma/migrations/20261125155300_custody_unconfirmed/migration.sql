-- What was given and not yet confirmed by who received it: few rows, whatever came before. The list of them read every event that
-- was ever given otherwise. Kept by the tables that it follows from.
CREATE TABLE custody_unconfirmed (
  tenant_id uuid NOT NULL REFERENCES operator (tenant_id),
  event_id  uuid NOT NULL,
  PRIMARY KEY (tenant_id, event_id),
  CONSTRAINT custody_unconfirmed_event FOREIGN KEY (tenant_id, event_id) REFERENCES custody_event (tenant_id, id)
);
CALL app.make_tenant_table('custody_unconfirmed', append_only => false, audited => false);
CALL app.for_each_tenant($$
  INSERT INTO custody_unconfirmed (tenant_id, event_id)
  SELECT e.tenant_id, e.id FROM custody_event e
   WHERE e.tenant_id = app.current_tenant() AND e.acknowledge_by IS NOT NULL
     AND NOT EXISTS (SELECT FROM custody_acknowledgement a WHERE a.tenant_id = e.tenant_id AND a.event_id = e.id AND a.side = 'receiver')$$);

CREATE FUNCTION app.await_confirmation() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  INSERT INTO custody_unconfirmed (tenant_id, event_id) VALUES (NEW.tenant_id, NEW.id);
  RETURN NULL;
END $$;
CREATE TRIGGER await_confirmation AFTER INSERT ON custody_event
  FOR EACH ROW WHEN (NEW.acknowledge_by IS NOT NULL) EXECUTE FUNCTION app.await_confirmation();

CREATE FUNCTION app.end_confirmation() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  DELETE FROM custody_unconfirmed u WHERE u.tenant_id = NEW.tenant_id AND u.event_id = NEW.event_id;
  RETURN NULL;
END $$;
CREATE TRIGGER end_confirmation AFTER INSERT ON custody_acknowledgement
  FOR EACH ROW WHEN (NEW.side = 'receiver') EXECUTE FUNCTION app.end_confirmation();
