INSERT INTO custody_signature (tenant_id, event_id, side, signed_name, signature, salt, digest) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000110', 'receiver', 'Orla Venn', '{"kind":"typed","text":"Orla Venn"}', decode(repeat('07', 16), 'hex'), sha256('signature'));
