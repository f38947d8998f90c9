-- The register, version 3: what a treatment record holds beside the dose, corrections, droppings.
--
-- A treatment row is written with its dose, so that a year later the record still says what was true
-- then, whatever became of the medicine's file.  NULL is what nobody stated.  Doses of an earlier
-- version have no such row.

CREATE TABLE treatment (                    -- one for each dose, in the same transaction
    id                 INTEGER PRIMARY KEY CHECK (id > 0),
    at                 TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??*[+-]??:??*'),
    round_id           TEXT NOT NULL,
    dose_id            TEXT NOT NULL UNIQUE REFERENCES dose (dose_id),
    keeper             TEXT NOT NULL,       -- who treated
    holding            TEXT,                -- name or address of the place
    prescriber         TEXT,
    reason             TEXT,
    ring               TEXT,
    cage               TEXT,
    sex                TEXT,
    birds              INTEGER NOT NULL CHECK (birds > 0),
    active             TEXT NOT NULL,
    strength_mg_per_ml TEXT CHECK (strength_mg_per_ml GLOB '[0-9]*'
                                   AND strength_mg_per_ml NOT GLOB '*[^0-9.]*'),  -- neat product
    product            TEXT NOT NULL CHECK (product GLOB '[0-9]*' AND product NOT GLOB '*[^0-9.]*'),
    water              TEXT NOT NULL CHECK (water GLOB '[0-9]*' AND water NOT GLOB '*[^0-9.]*'),
    label_dose         TEXT NOT NULL,
    route              TEXT NOT NULL,
    product_batch      TEXT,
    product_expires    TEXT CHECK (product_expires GLOB '????-??-??'),
    egg_days           INTEGER CHECK (egg_days >= 0),     -- withdrawal periods
    meat_days          INTEGER CHECK (meat_days >= 0),
    earliest_days      INTEGER CHECK (earliest_days > 0), -- to the next dose
    latest_days        INTEGER CHECK (latest_days >= earliest_days),
    course_doses       INTEGER CHECK (course_doses > 0)
);

CREATE TABLE correction (                   -- a fact about a dose put right; the last row stands
    id        INTEGER PRIMARY KEY CHECK (id > 0),
    at        TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??*[+-]??:??*'),
    round_id  TEXT NOT NULL,
    dose_id   TEXT NOT NULL REFERENCES dose (dose_id),
    fact      TEXT NOT NULL,
    was       TEXT,
    now       TEXT,
    note      TEXT NOT NULL
);

CREATE TABLE droppings (                    -- droppings looked at under a microscope, or sent away
    id        INTEGER PRIMARY KEY CHECK (id > 0),
    at        TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??*[+-]??:??*'),
    round_id  TEXT NOT NULL,
    whose     TEXT NOT NULL,                -- of a bird, of a cage, or of all
    found     TEXT NOT NULL
);

-- A day's questions read the rows of that time, bird, cage or round, and no others.
CREATE INDEX dose_by_time ON dose (at);
CREATE INDEX dose_by_round ON dose (round_id);
CREATE INDEX exchange_by_time ON exchange (at);
CREATE INDEX treatment_by_ring ON treatment (ring) WHERE ring IS NOT NULL;
CREATE INDEX treatment_by_cage ON treatment (cage) WHERE cage IS NOT NULL;
CREATE INDEX correction_by_dose ON correction (dose_id, id);
CREATE INDEX correction_by_value ON correction (now, fact) WHERE now IS NOT NULL;
CREATE INDEX correction_by_time ON correction (at);
CREATE INDEX stock_move_by_dose ON stock_move (dose_id, id) WHERE dose_id IS NOT NULL;

CREATE TRIGGER treatment_no_update BEFORE UPDATE ON treatment
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be changed'); END;
CREATE TRIGGER treatment_no_delete BEFORE DELETE ON treatment
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be deleted'); END;
CREATE TRIGGER treatment_no_replace BEFORE INSERT ON treatment
WHEN EXISTS (SELECT 1 FROM treatment WHERE id = NEW.id OR dose_id = NEW.dose_id)
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be replaced'); END;

CREATE TRIGGER correction_no_update BEFORE UPDATE ON correction
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be changed'); END;
CREATE TRIGGER correction_no_delete BEFORE DELETE ON correction
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be deleted'); END;
CREATE TRIGGER correction_no_replace BEFORE INSERT ON correction
WHEN EXISTS (SELECT 1 FROM correction WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be replaced'); END;

CREATE TRIGGER droppings_no_update BEFORE UPDATE ON droppings
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be changed'); END;
CREATE TRIGGER droppings_no_delete BEFORE DELETE ON droppings
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be deleted'); END;
CREATE TRIGGER droppings_no_replace BEFORE INSERT ON droppings
WHEN EXISTS (SELECT 1 FROM droppings WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be replaced'); END;

-- Foreign keys are off unless a program asks for them, so these rules are kept by triggers as well.
CREATE TRIGGER treatment_of_a_dose BEFORE INSERT ON treatment
WHEN NOT EXISTS (SELECT 1 FROM dose WHERE dose_id = NEW.dose_id)
BEGIN SELECT RAISE(ABORT, 'the register has no such dose'); END;
CREATE TRIGGER correction_of_a_dose BEFORE INSERT ON correction
WHEN NOT EXISTS (SELECT 1 FROM dose WHERE dose_id = NEW.dose_id)
BEGIN SELECT RAISE(ABORT, 'the register has no such dose'); END;
