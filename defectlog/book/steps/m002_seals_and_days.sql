-- Second shape: every act is sealed, and every day is summed up.

-- The seal of an act: a digest over what it wrote and over the seal of the act before it (book/chain.py says how), so
-- that a change made behind the program's back is found. `late`: the act is older than the seals, and was sealed when
-- the book was brought to this shape, not when it was written.
CREATE TABLE chain (
    act INTEGER PRIMARY KEY REFERENCES act (id),
    digest TEXT NOT NULL,
    late INTEGER NOT NULL DEFAULT 0
);

CREATE TRIGGER chain_no_update BEFORE UPDATE ON chain
BEGIN
    SELECT RAISE(ABORT, 'the journal is only added to');
END;

CREATE TRIGGER chain_no_delete BEFORE DELETE ON chain
BEGIN
    SELECT RAISE(ABORT, 'the journal is only added to');
END;

CREATE TRIGGER act_ends_sealed BEFORE DELETE ON acting
WHEN NOT EXISTS (SELECT 1 FROM chain WHERE act = old.act)
BEGIN
    SELECT RAISE(ABORT, 'an act ends with its seal');
END;

-- Sums by day and pattern, so that "what is usual in this shop" reads some thousand rows however long the book is.
-- Nothing is typed here: the triggers below keep the sums, book/days.py counts them anew, and `check` compares.
CREATE TABLE day_cast (
    day TEXT NOT NULL,
    pattern TEXT NOT NULL,
    moulds INTEGER NOT NULL,
    castings INTEGER NOT NULL,
    castings_squared INTEGER NOT NULL,
    PRIMARY KEY (day, pattern)
) WITHOUT ROWID;

CREATE TABLE day_bad (
    day TEXT NOT NULL,
    pattern TEXT NOT NULL,
    defect TEXT NOT NULL,
    castings INTEGER NOT NULL,
    PRIMARY KEY (day, pattern, defect)
) WITHOUT ROWID;
CREATE INDEX day_bad_by_defect ON day_bad (defect, day, pattern);

INSERT INTO day_cast (day, pattern, moulds, castings, castings_squared)
SELECT substr(cast_at, 1, 10), pattern, count(*), sum(castings_in_it), sum(castings_in_it * castings_in_it)
FROM mould WHERE counted = 1 AND cast_at IS NOT NULL GROUP BY 1, 2;

INSERT INTO day_bad (day, pattern, defect, castings)
SELECT substr(m.cast_at, 1, 10), m.pattern, coalesce(f.defect, ''), sum(coalesce(f.castings, 1))
FROM finding f CROSS JOIN mould m ON m.id = f.mould_id
WHERE f.withdrawn_by IS NULL AND m.counted = 1 AND m.cast_at IS NOT NULL GROUP BY 1, 2, 3;

CREATE TRIGGER day_cast_mould_added AFTER INSERT ON mould
WHEN new.counted = 1 AND new.cast_at IS NOT NULL
BEGIN
    INSERT INTO day_cast (day, pattern, moulds, castings, castings_squared)
    VALUES (substr(new.cast_at, 1, 10), new.pattern, 1, new.castings_in_it, new.castings_in_it * new.castings_in_it)
    ON CONFLICT (day, pattern) DO UPDATE SET
        moulds = moulds + 1,
        castings = castings + excluded.castings,
        castings_squared = castings_squared + excluded.castings_squared;
END;

CREATE TRIGGER day_cast_mould_changed AFTER UPDATE OF pattern, castings_in_it, cast_at, counted ON mould
WHEN old.pattern IS NOT new.pattern OR old.castings_in_it IS NOT new.castings_in_it
    OR old.cast_at IS NOT new.cast_at OR old.counted IS NOT new.counted
BEGIN
    UPDATE day_cast SET
        moulds = moulds - 1,
        castings = castings - old.castings_in_it,
        castings_squared = castings_squared - old.castings_in_it * old.castings_in_it
    WHERE old.counted = 1 AND day = substr(old.cast_at, 1, 10) AND pattern = old.pattern;
    DELETE FROM day_cast WHERE moulds = 0 AND day = substr(old.cast_at, 1, 10) AND pattern = old.pattern;
    INSERT INTO day_cast (day, pattern, moulds, castings, castings_squared)
    SELECT substr(new.cast_at, 1, 10), new.pattern, 1, new.castings_in_it, new.castings_in_it * new.castings_in_it
    WHERE new.counted = 1 AND new.cast_at IS NOT NULL
    ON CONFLICT (day, pattern) DO UPDATE SET
        moulds = moulds + 1,
        castings = castings + excluded.castings,
        castings_squared = castings_squared + excluded.castings_squared;
END;

CREATE TRIGGER day_bad_mould_changed AFTER UPDATE OF pattern, cast_at, counted ON mould
WHEN old.pattern IS NOT new.pattern OR old.cast_at IS NOT new.cast_at OR old.counted IS NOT new.counted
BEGIN
    UPDATE day_bad SET castings = castings - (
        SELECT coalesce(sum(coalesce(f.castings, 1)), 0) FROM finding f
        WHERE f.mould_id = old.id AND f.withdrawn_by IS NULL AND coalesce(f.defect, '') = day_bad.defect
    )
    WHERE old.counted = 1 AND day = substr(old.cast_at, 1, 10) AND pattern = old.pattern;
    DELETE FROM day_bad WHERE castings = 0 AND day = substr(old.cast_at, 1, 10) AND pattern = old.pattern;
    INSERT INTO day_bad (day, pattern, defect, castings)
    SELECT substr(new.cast_at, 1, 10), new.pattern, coalesce(f.defect, ''), coalesce(f.castings, 1)
    FROM finding f
    WHERE f.mould_id = new.id AND f.withdrawn_by IS NULL AND new.counted = 1 AND new.cast_at IS NOT NULL
    ON CONFLICT (day, pattern, defect) DO UPDATE SET castings = castings + excluded.castings;
END;

CREATE TRIGGER day_bad_finding_added AFTER INSERT ON finding
BEGIN
    INSERT INTO day_bad (day, pattern, defect, castings)
    SELECT substr(m.cast_at, 1, 10), m.pattern, coalesce(new.defect, ''), coalesce(new.castings, 1)
    FROM mould m WHERE m.id = new.mould_id AND m.counted = 1 AND m.cast_at IS NOT NULL
    ON CONFLICT (day, pattern, defect) DO UPDATE SET castings = castings + excluded.castings;
END;

CREATE TRIGGER day_bad_finding_changed AFTER UPDATE OF mould_id, defect, castings, withdrawn_by ON finding
WHEN old.mould_id IS NOT new.mould_id OR old.defect IS NOT new.defect OR old.castings IS NOT new.castings
    OR old.withdrawn_by IS NOT new.withdrawn_by
BEGIN
    UPDATE day_bad SET castings = castings - coalesce(old.castings, 1)
    WHERE old.withdrawn_by IS NULL AND defect = coalesce(old.defect, '') AND (day, pattern) = (
        SELECT substr(m.cast_at, 1, 10), m.pattern FROM mould m WHERE m.id = old.mould_id AND m.counted = 1
    );
    DELETE FROM day_bad WHERE castings = 0 AND defect = coalesce(old.defect, '') AND (day, pattern) = (
        SELECT substr(m.cast_at, 1, 10), m.pattern FROM mould m WHERE m.id = old.mould_id
    );
    INSERT INTO day_bad (day, pattern, defect, castings)
    SELECT substr(m.cast_at, 1, 10), m.pattern, coalesce(new.defect, ''), coalesce(new.castings, 1)
    FROM mould m WHERE m.id = new.mould_id AND m.counted = 1 AND m.cast_at IS NOT NULL AND new.withdrawn_by IS NULL
    ON CONFLICT (day, pattern, defect) DO UPDATE SET castings = castings + excluded.castings;
END;

-- Where the same ingot went.
CREATE INDEX heat_by_lot ON heat (ingot_lot) WHERE ingot_lot IS NOT NULL;
