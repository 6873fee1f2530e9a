-- Third shape: what became of the castings, summed up by month and pattern, so that the review of a month reads some
-- thousand sums and not every finding there ever was; and findings by the day on which they were found.

-- A mould with findings that count (in force, of its primary defect): its month, and what became of its castings.
-- An empty count is one casting, an empty disposition undecided.
CREATE VIEW mould_became AS
SELECT
    f.mould_id AS mould_id,
    substr(m.cast_at, 1, 7) AS month,
    m.pattern AS pattern,
    m.castings_in_it AS castings_in_it,
    sum(iif(f.disposition = 'scrap', coalesce(f.castings, 1), 0)) AS scrapped,
    sum(iif(f.disposition = 'rework', coalesce(f.castings, 1), 0)) AS reworked,
    sum(iif(f.disposition = 'use as is', coalesce(f.castings, 1), 0)) AS used_as_is,
    sum(iif(coalesce(f.disposition, 'undecided') = 'undecided', coalesce(f.castings, 1), 0)) AS undecided
FROM finding f CROSS JOIN mould m ON m.id = f.mould_id
WHERE f.withdrawn_by IS NULL AND coalesce(f."primary", 1) = 1 AND m.counted = 1 AND m.cast_at IS NOT NULL
GROUP BY f.mould_id;

-- `moulds` are those with such findings. Kept by the triggers below, counted anew by book/days.py, compared by `check`.
CREATE TABLE month_became (
    month TEXT NOT NULL,
    pattern TEXT NOT NULL,
    moulds INTEGER NOT NULL,
    moulds_with_scrap INTEGER NOT NULL,
    scrapped INTEGER NOT NULL,
    reworked INTEGER NOT NULL,
    used_as_is INTEGER NOT NULL,
    undecided INTEGER NOT NULL,
    scrapped_squared INTEGER NOT NULL,
    scrapped_by_castings INTEGER NOT NULL,
    PRIMARY KEY (month, pattern)
) WITHOUT ROWID;

INSERT INTO month_became
SELECT month, pattern, count(*), sum(scrapped > 0), sum(scrapped), sum(reworked), sum(used_as_is), sum(undecided),
    sum(scrapped * scrapped), sum(scrapped * castings_in_it)
FROM mould_became GROUP BY month, pattern;

-- What changes a mould's share takes the old share out before, and puts the new one in after.
CREATE TRIGGER month_became_before_finding BEFORE INSERT ON finding
BEGIN
    UPDATE month_became SET
        (
            moulds, moulds_with_scrap, scrapped, reworked, used_as_is, undecided, scrapped_squared, scrapped_by_castings
        ) = (
            SELECT moulds - 1, moulds_with_scrap - (b.scrapped > 0), month_became.scrapped - b.scrapped,
                month_became.reworked - b.reworked, month_became.used_as_is - b.used_as_is,
                month_became.undecided - b.undecided, scrapped_squared - b.scrapped * b.scrapped,
                scrapped_by_castings - b.scrapped * b.castings_in_it
            FROM mould_became b WHERE b.mould_id = new.mould_id
        )
    WHERE (month, pattern) = (SELECT b.month, b.pattern FROM mould_became b WHERE b.mould_id = new.mould_id);
END;

CREATE TRIGGER month_became_finding AFTER INSERT ON finding
BEGIN
    INSERT INTO month_became
    SELECT month, pattern, 1, scrapped > 0, scrapped, reworked, used_as_is, undecided, scrapped * scrapped,
        scrapped * castings_in_it
    FROM mould_became WHERE mould_id = new.mould_id
    ON CONFLICT (month, pattern) DO UPDATE SET
        moulds = moulds + 1,
        moulds_with_scrap = moulds_with_scrap + excluded.moulds_with_scrap,
        scrapped = scrapped + excluded.scrapped,
        reworked = reworked + excluded.reworked,
        used_as_is = used_as_is + excluded.used_as_is,
        undecided = undecided + excluded.undecided,
        scrapped_squared = scrapped_squared + excluded.scrapped_squared,
        scrapped_by_castings = scrapped_by_castings + excluded.scrapped_by_castings;
END;

CREATE TRIGGER month_became_before_finding_changed
BEFORE UPDATE OF mould_id, castings, disposition, "primary", withdrawn_by ON finding
BEGIN
    UPDATE month_became SET
        (
            moulds, moulds_with_scrap, scrapped, reworked, used_as_is, undecided, scrapped_squared, scrapped_by_castings
        ) = (
            SELECT moulds - 1, moulds_with_scrap - (b.scrapped > 0), month_became.scrapped - b.scrapped,
                month_became.reworked - b.reworked, month_became.used_as_is - b.used_as_is,
                month_became.undecided - b.undecided, scrapped_squared - b.scrapped * b.scrapped,
                scrapped_by_castings - b.scrapped * b.castings_in_it
            FROM mould_became b WHERE b.mould_id = old.mould_id
        )
    WHERE (month, pattern) = (SELECT b.month, b.pattern FROM mould_became b WHERE b.mould_id = old.mould_id);
    UPDATE month_became SET
        (
            moulds, moulds_with_scrap, scrapped, reworked, used_as_is, undecided, scrapped_squared, scrapped_by_castings
        ) = (
            SELECT moulds - 1, moulds_with_scrap - (b.scrapped > 0), month_became.scrapped - b.scrapped,
                month_became.reworked - b.reworked, month_became.used_as_is - b.used_as_is,
                month_became.undecided - b.undecided, scrapped_squared - b.scrapped * b.scrapped,
                scrapped_by_castings - b.scrapped * b.castings_in_it
            FROM mould_became b WHERE b.mould_id = new.mould_id AND new.mould_id IS NOT old.mould_id
        )
    WHERE (month, pattern) = (
        SELECT b.month, b.pattern FROM mould_became b
        WHERE b.mould_id = new.mould_id AND new.mould_id IS NOT old.mould_id
    );
END;

CREATE TRIGGER month_became_finding_changed
AFTER UPDATE OF mould_id, castings, disposition, "primary", withdrawn_by ON finding
BEGIN
    INSERT INTO month_became
    SELECT month, pattern, 1, scrapped > 0, scrapped, reworked, used_as_is, undecided, scrapped * scrapped,
        scrapped * castings_in_it
    FROM mould_became WHERE mould_id = old.mould_id
    ON CONFLICT (month, pattern) DO UPDATE SET
        moulds = moulds + 1,
        moulds_with_scrap = moulds_with_scrap + excluded.moulds_with_scrap,
        scrapped = scrapped + excluded.scrapped,
        reworked = reworked + excluded.reworked,
        used_as_is = used_as_is + excluded.used_as_is,
        undecided = undecided + excluded.undecided,
        scrapped_squared = scrapped_squared + excluded.scrapped_squared,
        scrapped_by_castings = scrapped_by_castings + excluded.scrapped_by_castings;
    INSERT INTO month_became
    SELECT month, pattern, 1, scrapped > 0, scrapped, reworked, used_as_is, undecided, scrapped * scrapped,
        scrapped * castings_in_it
    FROM mould_became WHERE mould_id = new.mould_id AND new.mould_id IS NOT old.mould_id
    ON CONFLICT (month, pattern) DO UPDATE SET
        moulds = moulds + 1,
        moulds_with_scrap = moulds_with_scrap + excluded.moulds_with_scrap,
        scrapped = scrapped + excluded.scrapped,
        reworked = reworked + excluded.reworked,
        used_as_is = used_as_is + excluded.used_as_is,
        undecided = undecided + excluded.undecided,
        scrapped_squared = scrapped_squared + excluded.scrapped_squared,
        scrapped_by_castings = scrapped_by_castings + excluded.scrapped_by_castings;
    DELETE FROM month_became WHERE moulds = 0 AND (month, pattern) = (
        SELECT substr(m.cast_at, 1, 7), m.pattern FROM mould m WHERE m.id = old.mould_id
    );
    DELETE FROM month_became WHERE moulds = 0 AND (month, pattern) = (
        SELECT substr(m.cast_at, 1, 7), m.pattern FROM mould m WHERE m.id = new.mould_id
    );
END;

CREATE TRIGGER month_became_before_mould_changed BEFORE UPDATE OF pattern, castings_in_it, cast_at, counted ON mould
WHEN old.pattern IS NOT new.pattern OR old.castings_in_it IS NOT new.castings_in_it
    OR old.cast_at IS NOT new.cast_at OR old.counted IS NOT new.counted
BEGIN
    UPDATE month_became SET
        (
            moulds, moulds_with_scrap, scrapped, reworked, used_as_is, undecided, scrapped_squared, scrapped_by_castings
        ) = (
            SELECT moulds - 1, moulds_with_scrap - (b.scrapped > 0), month_became.scrapped - b.scrapped,
                month_became.reworked - b.reworked, month_became.used_as_is - b.used_as_is,
                month_became.undecided - b.undecided, scrapped_squared - b.scrapped * b.scrapped,
                scrapped_by_castings - b.scrapped * b.castings_in_it
            FROM mould_became b WHERE b.mould_id = old.id
        )
    WHERE (month, pattern) = (SELECT b.month, b.pattern FROM mould_became b WHERE b.mould_id = old.id);
END;

CREATE TRIGGER month_became_mould_changed AFTER UPDATE OF pattern, castings_in_it, cast_at, counted ON mould
WHEN old.pattern IS NOT new.pattern OR old.castings_in_it IS NOT new.castings_in_it
    OR old.cast_at IS NOT new.cast_at OR old.counted IS NOT new.counted
BEGIN
    INSERT INTO month_became
    SELECT month, pattern, 1, scrapped > 0, scrapped, reworked, used_as_is, undecided, scrapped * scrapped,
        scrapped * castings_in_it
    FROM mould_became WHERE mould_id = old.id
    ON CONFLICT (month, pattern) DO UPDATE SET
        moulds = moulds + 1,
        moulds_with_scrap = moulds_with_scrap + excluded.moulds_with_scrap,
        scrapped = scrapped + excluded.scrapped,
        reworked = reworked + excluded.reworked,
        used_as_is = used_as_is + excluded.used_as_is,
        undecided = undecided + excluded.undecided,
        scrapped_squared = scrapped_squared + excluded.scrapped_squared,
        scrapped_by_castings = scrapped_by_castings + excluded.scrapped_by_castings;
    DELETE FROM month_became WHERE moulds = 0 AND month = substr(old.cast_at, 1, 7) AND pattern = old.pattern;
END;

DROP INDEX finding_by_day;
CREATE INDEX finding_by_found ON finding (coalesce(found_at, recorded_at));
