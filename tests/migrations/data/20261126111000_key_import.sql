INSERT INTO import_key_row (tenant_id, import_file_id, line_number, line)
SELECT tenant_id, id, 2, '{"code": "C-100", "class": "cash-box", "copy": "K-9"}' FROM import_file ORDER BY id LIMIT 1;
