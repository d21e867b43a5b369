-- Whoever makes a one-use link sees its address, and could open it: the books say of a denial, as of a confirmation, whether it was said signed in or by a link.
-- What stands in the books already counts as said signed in: links have taken denials for one version only.
ALTER TABLE custody_denial ADD COLUMN how text NOT NULL DEFAULT 'signed-in' CONSTRAINT custody_denial_how_check CHECK (how IN ('signed-in', 'link'));
ALTER TABLE custody_denial ALTER COLUMN how DROP DEFAULT;
