-- The register, version 1: what was heard and answered, which doses were said, how each ended.
--
-- Rows are only ever added.  The triggers below refuse UPDATE, DELETE and every form of REPLACE in
-- whatever program opens this file.  They stop slips and faulty programs, not a person who is set
-- on it: whoever can write the file can also drop a trigger, which dosewren notices and refuses.
--
-- Times are ISO 8601 text with the offset from UTC.  Amounts are plain decimal text, so that none
-- is ever rounded by a binary fraction; each column's name carries the unit.

PRAGMA application_id = 2003985774;  -- "wren" in ASCII

CREATE TABLE exchange (
    id          INTEGER PRIMARY KEY CHECK (id > 0),
    at          TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??*[+-]??:??*'),
    round_id    TEXT NOT NULL,
    channel     TEXT NOT NULL,              -- text or voice
    engine      TEXT NOT NULL,
    heard       TEXT NOT NULL,              -- the raw words
    confidence  REAL NOT NULL CHECK (confidence BETWEEN 0 AND 1),
    status      TEXT NOT NULL,
    intent      TEXT,
    request     TEXT NOT NULL,              -- what was understood, a JSON object
    reason      TEXT,
    reply       TEXT NOT NULL
);

CREATE TABLE dose (                         -- a dose that was said, not yet one that was given
    id            INTEGER PRIMARY KEY CHECK (id > 0),
    at            TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??*[+-]??:??*'),
    round_id      TEXT NOT NULL,
    dose_id       TEXT NOT NULL UNIQUE,
    species       TEXT NOT NULL,
    bird          TEXT,                     -- a name or a ring, where one was said
    weight_g      TEXT NOT NULL CHECK (weight_g GLOB '[0-9]*' AND weight_g NOT GLOB '*[^0-9.]*'),
    medicine      TEXT NOT NULL,
    strength      TEXT NOT NULL,
    dilution      TEXT NOT NULL,
    volume_ml     TEXT NOT NULL CHECK (volume_ml GLOB '[0-9]*' AND volume_ml NOT GLOB '*[^0-9.]*'),
    exact_ml      TEXT NOT NULL CHECK (exact_ml GLOB '[0-9]*' AND exact_ml NOT GLOB '*[^0-9.]*'),
    syringe       TEXT NOT NULL,
    needle        TEXT NOT NULL,
    needle_state  TEXT NOT NULL,
    band          TEXT,
    fictional     INTEGER NOT NULL CHECK (fictional IN (0, 1))
);

CREATE TABLE dose_end (                     -- how a dose ended; the last row about a dose stands
    id        INTEGER PRIMARY KEY CHECK (id > 0),
    at        TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??*[+-]??:??*'),
    round_id  TEXT NOT NULL,
    dose_id   TEXT NOT NULL REFERENCES dose (dose_id),
    ending    TEXT NOT NULL
              CHECK (ending IN ('given', 'part_given', 'not_given', 'not_known', 'scratched')),
    note      TEXT NOT NULL
);

CREATE TABLE note (                         -- a round begun, a medicine confirmed, a needle changed
    id        INTEGER PRIMARY KEY CHECK (id > 0),
    at        TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??*[+-]??:??*'),
    round_id  TEXT NOT NULL,
    kind      TEXT NOT NULL,
    text      TEXT NOT NULL
);

CREATE INDEX dose_end_by_dose ON dose_end (dose_id, id);
CREATE INDEX dose_by_bird ON dose (bird, medicine) WHERE bird IS NOT NULL;

-- Each dose with the end that stands, or with none yet.
CREATE VIEW dose_with_end AS
SELECT dose.*, dose_end.ending, dose_end.at AS ended_at, dose_end.note
FROM dose
LEFT JOIN dose_end
    ON dose_end.id = (SELECT max(id) FROM dose_end AS e WHERE e.dose_id = dose.dose_id);

-- The newest dose of each named bird and medicine after which the bird counts as dosed.
CREATE VIEW last_full_dose AS
SELECT * FROM (
    SELECT *, row_number() OVER (
        PARTITION BY bird, medicine ORDER BY julianday(ended_at) DESC, id DESC
    ) AS place
    FROM dose_with_end
    WHERE bird IS NOT NULL AND ending IN ('given', 'part_given', 'not_known')
) WHERE place = 1;

-- Append only.  REPLACE deletes the row in its way without asking a DELETE trigger, unless the
-- program has switched recursive triggers on; so an insert over a row that is there is refused too.
-- (NEW.id is -1 where the statement gives no id, and no row has that.)

CREATE TRIGGER exchange_no_update BEFORE UPDATE ON exchange
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be changed'); END;
CREATE TRIGGER exchange_no_delete BEFORE DELETE ON exchange
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be deleted'); END;
CREATE TRIGGER exchange_no_replace BEFORE INSERT ON exchange
WHEN EXISTS (SELECT 1 FROM exchange WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be replaced'); END;

CREATE TRIGGER dose_no_update BEFORE UPDATE ON dose
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be changed'); END;
CREATE TRIGGER dose_no_delete BEFORE DELETE ON dose
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be deleted'); END;
CREATE TRIGGER dose_no_replace BEFORE INSERT ON dose
WHEN EXISTS (SELECT 1 FROM dose WHERE id = NEW.id OR dose_id = NEW.dose_id)
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be replaced'); END;

CREATE TRIGGER dose_end_no_update BEFORE UPDATE ON dose_end
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be changed'); END;
CREATE TRIGGER dose_end_no_delete BEFORE DELETE ON dose_end
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be deleted'); END;
CREATE TRIGGER dose_end_no_replace BEFORE INSERT ON dose_end
WHEN EXISTS (SELECT 1 FROM dose_end WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be replaced'); END;

-- Foreign keys are off unless a program asks for them, so this rule is kept by a trigger as well.
CREATE TRIGGER dose_end_of_a_dose BEFORE INSERT ON dose_end
WHEN NOT EXISTS (SELECT 1 FROM dose WHERE dose_id = NEW.dose_id)
BEGIN SELECT RAISE(ABORT, 'the register has no such dose'); END;

CREATE TRIGGER note_no_update BEFORE UPDATE ON note
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be changed'); END;
CREATE TRIGGER note_no_delete BEFORE DELETE ON note
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be deleted'); END;
CREATE TRIGGER note_no_replace BEFORE INSERT ON note
WHEN EXISTS (SELECT 1 FROM note WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'the register is append only: no row may be replaced'); END;
