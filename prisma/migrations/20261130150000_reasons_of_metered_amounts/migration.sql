-- Where recorded meters cannot tell what a box should hold, somebody says it in their place, and why it is that amount. Of a machine whose meters nobody
-- records no reason is asked: there an amount is what the books have.
ALTER TABLE box_metered ADD COLUMN reason text CHECK (reason <> '');
CALL app.make_texts_erasable('box_metered', '{reason}');
