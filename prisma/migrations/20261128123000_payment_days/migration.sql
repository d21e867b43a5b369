-- Within how many days after issue statements are paid, as they say themselves. Null: they name no day.
ALTER TABLE operator ADD COLUMN payment_days integer CONSTRAINT operator_payment_days CHECK (payment_days BETWEEN 0 AND 365);
