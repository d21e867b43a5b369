-- A file of keys and locks: for an operator whose books of keys begin with a spreadsheet.
ALTER TABLE import_file DROP CONSTRAINT import_file_kind_check;
ALTER TABLE import_file ADD CONSTRAINT import_file_kind_check CHECK (kind IN ('collections', 'keys'));

-- Its lines wait here until somebody accepts the file: codes and tags as they stand in it. What they mean is looked up when they
-- enter the books.
CREATE TABLE import_key_row (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  import_file_id uuid NOT NULL,
  line_number    integer NOT NULL,
  line           jsonb NOT NULL CHECK (jsonb_typeof(line) = 'object'),
  PRIMARY KEY (tenant_id, import_file_id, line_number),
  CONSTRAINT import_key_row_file FOREIGN KEY (tenant_id, import_file_id) REFERENCES import_file (tenant_id, id)
);
CALL app.make_tenant_table('import_key_row', append_only => false, audited => false);
