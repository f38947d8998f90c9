-- The register, version 2: batches of made-up stock, and every move that put some in or took some out.
--
-- What is left of a batch is the sum of its moves.  A mistake is put right by a further move, as
-- everywhere in this register; the triggers are as in version 1.

CREATE TABLE batch (                        -- working dilution made up once, in one pot
    id              INTEGER PRIMARY KEY CHECK (id > 0),
    at              TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??*[+-]??:??*'),
    batch_id        TEXT NOT NULL UNIQUE,
    number          INTEGER NOT NULL CHECK (number BETWEEN 1 AND 99),  -- on the pot, and said
    medicine        TEXT NOT NULL,
    strength        TEXT NOT NULL,
    dilution        TEXT NOT NULL,
    product_ml      TEXT NOT NULL CHECK (product_ml GLOB '[0-9]*' AND product_ml NOT GLOB '*[^0-9.]*'),
    water_ml        TEXT NOT NULL CHECK (water_ml GLOB '[0-9]*' AND water_ml NOT GLOB '*[^0-9.]*'),
    discard_by      TEXT NOT NULL CHECK (discard_by GLOB '????-??-??T??:??:??*[+-]??:??*'),
    product_batch   TEXT NOT NULL,          -- on the product's own label; empty: not stated
    product_expires TEXT CHECK (product_expires GLOB '????-??-??'),
    pot             TEXT NOT NULL,
    fictional       INTEGER NOT NULL CHECK (fictional IN (0, 1))
);

CREATE TABLE stock_move (                   -- below zero: out of the pot
    id         INTEGER PRIMARY KEY CHECK (id > 0),
    at         TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??*[+-]??:??*'),
    round_id   TEXT NOT NULL,
    batch_id   TEXT NOT NULL REFERENCES batch (batch_id),
    kind       TEXT NOT NULL
               CHECK (kind IN ('made', 'given', 'kept', 'surplus', 'lost', 'spilled', 'thrown', 'measured')),
    change_ml  TEXT NOT NULL CHECK (ltrim(change_ml, '-') GLOB '[0-9]*'
                                    AND ltrim(change_ml, '-') NOT GLOB '*[^0-9.]*'
                                    AND change_ml NOT GLOB '--*'),
    dose_id    TEXT REFERENCES dose (dose_id),
    note       TEXT NOT NULL,
    CHECK (kind NOT IN ('kept', 'surplus', 'spilled', 'thrown') OR CAST(change_ml AS REAL) <= 0),
    CHECK (kind <> 'made' OR CAST(change_ml AS REAL) > 0)
);

CREATE INDEX stock_move_by_batch ON stock_move (batch_id, id);

CREATE TRIGGER batch_no_update BEFORE UPDATE ON batch
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be changed'); END;
CREATE TRIGGER batch_no_delete BEFORE DELETE ON batch
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be deleted'); END;
CREATE TRIGGER batch_no_replace BEFORE INSERT ON batch
WHEN EXISTS (SELECT 1 FROM batch WHERE id = NEW.id OR batch_id = NEW.batch_id)
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be replaced'); END;

CREATE TRIGGER stock_move_no_update BEFORE UPDATE ON stock_move
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be changed'); END;
CREATE TRIGGER stock_move_no_delete BEFORE DELETE ON stock_move
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be deleted'); END;
CREATE TRIGGER stock_move_no_replace BEFORE INSERT ON stock_move
WHEN EXISTS (SELECT 1 FROM stock_move WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be replaced'); END;

-- Foreign keys are off unless a program asks for them, so these rules are kept by triggers as well.
CREATE TRIGGER stock_move_of_a_batch BEFORE INSERT ON stock_move
WHEN NOT EXISTS (SELECT 1 FROM batch WHERE batch_id = NEW.batch_id)
BEGIN SELECT RAISE(ABORT, 'the register has no such batch'); END;
CREATE TRIGGER stock_move_of_a_dose BEFORE INSERT ON stock_move
WHEN NEW.dose_id IS NOT NULL AND NOT EXISTS (SELECT 1 FROM dose WHERE dose_id = NEW.dose_id)
BEGIN SELECT RAISE(ABORT, 'the register has no such dose'); END;
