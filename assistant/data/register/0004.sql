-- The register, version 4: a digest of each row, so that a row which a failing disk has changed is
-- known from one that stands as it was written.  Rows of an earlier version have none.

CREATE TABLE seal (
    id         INTEGER PRIMARY KEY CHECK (id > 0),
    table_name TEXT NOT NULL,
    row_id     INTEGER NOT NULL CHECK (row_id > 0),
    digest     TEXT NOT NULL CHECK (length(digest) = 32),  -- see register_seal.py
    UNIQUE (table_name, row_id)
);

CREATE TRIGGER seal_no_update BEFORE UPDATE ON seal
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be changed'); END;
CREATE TRIGGER seal_no_delete BEFORE DELETE ON seal
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be deleted'); END;
CREATE TRIGGER seal_no_replace BEFORE INSERT ON seal
WHEN EXISTS (SELECT 1 FROM seal WHERE id = NEW.id
             OR (table_name = NEW.table_name AND row_id = NEW.row_id))
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be replaced'); END;
